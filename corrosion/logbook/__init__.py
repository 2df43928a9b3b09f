"""The log book: a fleet's logs read as they stood at a moment. Reading writes nothing.

`files` finds and joins the Parquet files of a log, `columns` (over `texts` and `moments`) reads
each cell as the dictionary means it, `extras` carries the rest along, `lookback` hides what is
later and settles the order, `corrections` says which rows stand, `notices` says what was met as
`findings`, and `reading` puts it together.
"""

from corrosion.logbook.findings import FINDING_COLUMNS, Finding, Severity, findings_table
from corrosion.logbook.moments import parse_on, said
from corrosion.logbook.reading import Logbook, fingerprint, read_fleet

__all__ = [
    "FINDING_COLUMNS",
    "Finding",
    "Logbook",
    "Severity",
    "findings_table",
    "fingerprint",
    "parse_on",
    "read_fleet",
    "said",
]
