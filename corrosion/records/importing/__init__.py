"""Importing: a table that somebody kept elsewhere becomes rows of a log; what does not fit is kept.

    proposal = propose(folder, "readings", content, "readings.csv")
    for question in proposal.questions:  # what the file does not tell; ask, never guess
        ...                              # replace(options, **{question.about: answer})
    proposal = propose(folder, "readings", content, "readings.csv", options)
    imported = import_rows(folder, proposal, by="office", dry_run=True)

`raw` (over `tables_in`) reads a file's cells as text, in a process of its own where a file may
unpack into much (`reading_apart`, `__main__`), `which_log` says for which log it is, `headings`
which column each heading means, `numbers`, `moments_in` and `words_in` read cells, `reading_in`
puts rows together with the reasons why some can't be, `proposing` says how a file would be read and
what has to be asked, and `taking` writes. `logger_minutes` turns a logger's
rows, one a minute, into outings first. `typed_moment` reads a date of a form as those of a file.

A page shows `proposal.mapping` (change it through `Options.mapping`), the first of `proposal.rows`,
`proposal.reasons`, `proposal.missing` and `proposal.questions`; offers "Take these rows" when
`proposal.ready`; and shows `Imported.taken`, `.already`, `.aside` and `.aside_file` afterwards.

Notes
-----
* Imports ask, never guess (`importing/`): a `Proposal` has the mapping, the rows as they would be
  taken, a reason for each that would not, and `Question`s; nothing is taken while one is open.
  The decimal mark and the day-month order are decided over all columns of the file together.
  Reasons set the whole row aside. An import leaves `entered_at` unknown (the row was kept
  elsewhere at the time) and says the file in `imported_from`: else a look back at last year would
  find an empty log.
* openpyxl reads spreadsheets (no macro runs, values as last worked out); it breaks in every way
  on broken files, so one place turns any exception of it into a refusal. `.ods` and `.xls` are
  refused with what to do.
"""

from corrosion.records.importing.bounded import MOST_BYTES
from corrosion.records.importing.options import Options, Question
from corrosion.records.importing.proposing import Proposal, propose, propose_for
from corrosion.records.importing.raw import Raw
from corrosion.records.importing.reading_apart import read_file
from corrosion.records.importing.taking import Imported, import_rows
from corrosion.records.importing.typed_moment import typed_moment
from corrosion.records.importing.which_log import likeliest_log

__all__ = [
    "MOST_BYTES",
    "Imported",
    "Options",
    "Proposal",
    "Question",
    "Raw",
    "import_rows",
    "likeliest_log",
    "propose",
    "propose_for",
    "read_file",
    "typed_moment",
]
