"""The log book: a fleet's logs, read as they stood at a moment, and written by appending alone.

`files` finds and joins the Parquet files of a log, `columns` (over `texts` and `moments`) reads
each cell as the dictionary means it, `extras` carries the rest along, `lookback` hides what is
later and settles the order, `naming` calls rows by name, `corrections` says which rows stand,
`notices` says what was met as `findings`, and `reading` puts it together. Reading writes nothing.

`entering` holds rows to write against the dictionary, `seals` says what a written file knows of
itself, `known_ids` which entries are there already, `storing` puts a file on the disk whole, and
`appending` is the one door for rows that go in.
"""

from corrosion.records.logbook.appending import Written, append, append_all
from corrosion.records.logbook.findings import FINDING_COLUMNS, Finding, Severity, findings_table
from corrosion.records.logbook.moments import parse_on, said
from corrosion.records.logbook.naming import entry_names
from corrosion.records.logbook.reading import Logbook, fingerprint, read_fleet

__all__ = [
    "FINDING_COLUMNS",
    "Finding",
    "Logbook",
    "Severity",
    "Written",
    "append",
    "append_all",
    "entry_names",
    "findings_table",
    "fingerprint",
    "parse_on",
    "read_fleet",
    "said",
]
