"""The log book: a fleet's logs, read as they stood at a moment, and written by appending alone.

`files` finds and joins the Parquet files of a log, `columns` (over `texts` and `moments`) reads
each cell as the dictionary means it, `extras` carries the rest along, `lookback` hides what is
later and settles the order, `naming` calls rows by name, `corrections` says which rows stand,
`notices` says what was met as `findings`, and `reading` puts it together. Reading writes nothing.

`entering` holds rows to write against the dictionary, `seals` says what a written file knows of
itself, `heads` which one was written last, `known_ids` which entries are there already, `storing`
puts a file on the disk whole, and `appending` is the one door for rows that go in.

Notes
-----
* A log is written by adding files (`logbook/appending.py`), never by rewriting one. `entering`
  holds rows against the dictionary first, stricter than reading does: what old logs are forgiven,
  new rows are not. `storing` writes beside, flushes, renames, flushes the folder.
* The lock is on the folder itself (`flock`), so no lock file is ever left, and the system lets go
  of it when its holder dies. Appends to one log wait for each other (a few ms); that gives each
  file one predecessor, and makes a double tap from two processes one row. Readers never wait. On
  a system without `flock` only the threads of one process wait; appends are still whole files of
  their own.
* File names follow the order of writing (`r-<ns>-<pid>-<8 hex>`, `m-` for joined), whatever the
  clock does. `entered_at` follows the last entry when the clock is behind by up to a day, or was
  reset (before 2020); behind by more, the clock counts: one entry from a far future must not hide
  every later one. A live fleet is read up to the last own entry if that is at most a day ahead of
  the clock.
* Files of a visit (old anode out, new one in) all lie whole beside their logs before the first is
  named, and fittings are named before readings: a stop in between leaves no untrue sentence, and
  the same entry ids sent again complete it.
* Readers list twice. A single listing can miss a joined file and its parts both; two, the second
  of which lacks nothing of the first, cannot (short of two joinings within one listing). A joined
  file names its parts; a reader that meets both counts each row once. A file that went while
  reading: look again. The same entry id with the same values counts once (`written-again`, a
  note).
* Compaction is tiered: all small files, and joined ones up to four times their size, so that a
  row is copied a few times in its life and a log has a handful of files. Only own files whose
  seal holds are joined; the joined file is read back and compared before its parts go. It runs in
  a thread of the process whose append was one too many, after the confirmation.
* Seals (`logbook/seals.py`, in the Parquet metadata): rows, BLAKE2 digest of the content, name
  and seal of the file before. Joined files keep the seals of their parts. Own small files are
  written without dictionary, statistics and Arrow schema: a third less time to open (measured), 2
  kB each.
* The chain of seals misses what lies before a file; the newest one, and a log that is gone whole,
  are missed by the log's head (`.<log>.head` in the fleet's folder), written after the file under
  the log's lock. It may lag behind, never run ahead, so no stop makes it tell a loss that is none.
  Joining files moves no head: the joined file keeps the seals, and so the names, of its parts.
* Names by content (`logbook/naming.py`) are ours, digit by digit: they are stored in `corrects`
  for years, and no library promises that its hash stays. They depend on the fleet's time zone
  where times carry none: changing that setting breaks corrections of such rows.
* A simulated fleet's clock stands at its last logged moment; an entry counts as written one
  minute later, so the newest entry is the newest. A register's `entered_at` counts as a logged
  moment for the default `--on` of a simulated fleet: otherwise a correction of a register would
  stay hidden there until the next outing.
"""

from corrosion.records.logbook.appending import Written, append, append_all
from corrosion.records.logbook.findings import FINDING_COLUMNS, Finding, Severity, findings_table
from corrosion.records.logbook.moments import clock_text, parse_on
from corrosion.records.logbook.naming import entry_names
from corrosion.records.logbook.reading import Logbook, fingerprint, logs_needed, read_fleet

__all__ = [
    "FINDING_COLUMNS",
    "Finding",
    "Logbook",
    "Severity",
    "Written",
    "append",
    "append_all",
    "clock_text",
    "entry_names",
    "findings_table",
    "fingerprint",
    "logs_needed",
    "parse_on",
    "read_fleet",
]
