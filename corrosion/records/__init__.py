"""What was written down, and what of it is believed.

In: a fleet folder (Parquet logs, `fleet.toml`), or rows and tables that somebody brings. Out: the
log book as it stood at a moment, the same after the checks (`Checked`) with a finding for each
doubt, and rows appended. Logs are read and appended here and nowhere else; a row is never rewritten
and none is lost without being counted.

Notes
-----
* Unknown is not no. A missing flush, reading or temperature is unknown, and widens the range.
* No row is rewritten. A correction is a new row; a look back with `--on` gives what was known
  then.
"""

from corrosion.records import method
from corrosion.records.alloys_in_place import alloys_in_place
from corrosion.records.checks import (
    BULK_HULLS,
    CONDUCTIVITY_MS_PER_CM,
    SALINITY_G_PER_KG,
    TEMPERATURE_C,
    Checked,
    check_logs,
)
from corrosion.records.export import export_logs, export_zip
from corrosion.records.history import EVERYDAY, hull_history, tell_entry
from corrosion.records.importing import (
    MOST_BYTES,
    Imported,
    Options,
    Proposal,
    Raw,
    import_rows,
    likeliest_log,
    propose,
    propose_for,
    read_file,
    typed_moment,
)
from corrosion.records.logbook import (
    Logbook,
    append_all,
    entry_names,
    findings_table,
    fingerprint,
    logs_needed,
    parse_on,
    read_fleet,
)
from corrosion.records.logbook.appending import Written, append
from corrosion.records.logbook.custody import file_findings, holdings
from corrosion.records.logbook.files import LogRows
from corrosion.records.logbook.lookback import hide_later
from corrosion.records.logbook.pieces import (
    Piece,
    last_moment,
    part_of_hulls,
    put_together,
    standing_of_part,
    take_apart_by_hull,
)
from corrosion.records.logs import (
    ALLOYS,
    CIRCUITS,
    ENTRY,
    LOGS,
    SALTY,
    TOUCHED,
    WATERS,
    Column,
    column_dictionary,
    limits_of,
)
from corrosion.records.method import VERSION, stamp
from corrosion.records.people import People, read_people
from corrosion.records.settings import (
    WEEKDAYS,
    Bay,
    DaysOff,
    Express,
    Hires,
    Mechanic,
    Settings,
    changed_text,
    read_settings,
    settings_of,
    settings_text,
    write_settings,
)
from corrosion.records.writers import (
    A_FOLDER,
    Role,
    Writer,
    operator,
    role_to_write,
)

__all__ = [
    "ALLOYS",
    "A_FOLDER",
    "BULK_HULLS",
    "CIRCUITS",
    "CONDUCTIVITY_MS_PER_CM",
    "ENTRY",
    "EVERYDAY",
    "LOGS",
    "MOST_BYTES",
    "SALINITY_G_PER_KG",
    "SALTY",
    "TEMPERATURE_C",
    "TOUCHED",
    "VERSION",
    "WATERS",
    "WEEKDAYS",
    "Bay",
    "Checked",
    "Column",
    "DaysOff",
    "Express",
    "Hires",
    "Imported",
    "LogRows",
    "Logbook",
    "Mechanic",
    "Options",
    "People",
    "Piece",
    "Proposal",
    "Raw",
    "Role",
    "Settings",
    "Writer",
    "Written",
    "alloys_in_place",
    "append",
    "append_all",
    "changed_text",
    "check_logs",
    "column_dictionary",
    "entry_names",
    "export_logs",
    "export_zip",
    "file_findings",
    "findings_table",
    "fingerprint",
    "hide_later",
    "holdings",
    "hull_history",
    "import_rows",
    "last_moment",
    "likeliest_log",
    "limits_of",
    "logs_needed",
    "method",
    "operator",
    "parse_on",
    "part_of_hulls",
    "propose",
    "propose_for",
    "put_together",
    "read_file",
    "read_fleet",
    "read_people",
    "read_settings",
    "role_to_write",
    "settings_of",
    "settings_text",
    "stamp",
    "standing_of_part",
    "take_apart_by_hull",
    "tell_entry",
    "typed_moment",
    "write_settings",
]
