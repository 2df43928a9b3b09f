"""The log book: a fleet's logs read as they stood at a moment. Reading writes nothing.

files -> columns, moments, extras -> lookback -> corrections -> reading
notices -> findings
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
