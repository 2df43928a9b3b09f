"""Logs in and out: the commands `import` and `export`."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from corrosion.command_line.answers import Answer

if TYPE_CHECKING:
    import pandas as pd

    from corrosion.records import Imported, Options, Proposal

IMPORTED = ("outcome", "rows", "reason", "first")
EXPORTED = ("log", "rows", "file")


def import_log(options: argparse.Namespace) -> Answer:
    """Take a CSV file or a spreadsheet into a log: rows taken, there already, set aside and why."""
    from corrosion.records import import_rows, operator, parse_on, propose, read_settings

    content = _content(options.file)
    proposal = propose(options.fleet, options.log, content, options.file.name, _said(options))
    zone = read_settings(options.fleet).timezone
    until = parse_on(options.on, zone) if options.on else None
    by = operator(options.by)  # whoever may give commands here could change the files by hand
    done = import_rows(options.fleet, proposal, by, dry_run=options.dry_run, until=until)
    return Answer(_outcomes(done), _about(options, proposal, done), IMPORTED, zone)


def _content(file: Path) -> bytes:
    from corrosion.common import read_plain
    from corrosion.records import MOST_BYTES

    try:
        return read_plain(file, MOST_BYTES)
    except OSError as error:
        from corrosion.common import Refusal

        raise Refusal(f"{file}: cannot be opened ({error.strerror}). Give a file.") from error


def _said(options: argparse.Namespace) -> Options:
    from corrosion.records import Options

    return Options(
        mapping=dict(options.map or []),
        decimal_comma=options.decimal_comma,
        day_first=options.day_first,
        timezone=options.timezone,
        clock_twice=options.clock_twice,
        unit=options.unit,
        sheet=options.sheet,
        edited=options.edited,
    )


def _outcomes(done: Imported) -> pd.DataFrame:
    """One row per outcome; rows set aside by the reason, most of them first."""
    import pandas as pd

    rows: list[tuple[str, int, str, str]] = [("taken", done.taken, "", "")]
    rows.append(("there already", done.already, "", ""))
    for reason, group in done.aside.groupby(_kind_of_reason(done.aside), sort=False):
        first = group.iloc[0]
        example = f"line {first['line']}: {first['reason']}"
        rows.append(("set aside", len(group), str(reason), example))
    return pd.DataFrame(rows, columns=list(IMPORTED))


def _kind_of_reason(aside: pd.DataFrame) -> pd.Series[str]:
    """A reason without the cell that it quotes."""
    return aside["reason"].astype(str).str.replace(r" \([^()]*\)", "", regex=True).rename("kind")


def _about(options: argparse.Namespace, proposal: Proposal, done: Imported) -> tuple[str, ...]:
    read = ", ".join(f"{column} from {heading}" for column, heading in proposal.mapping.items())
    lines = [f"{proposal.raw.name} into {proposal.log}: {read}."]
    if proposal.left:
        lines.append(f"Carried along as columns of the fleet's own: {', '.join(proposal.left)}.")
    if done.aside_file:
        lines.append(f"Set aside in {done.aside_file}: mend it there and import it again.")
    if options.dry_run:
        lines.append("A trial: nothing was written.")
    return tuple(lines)


def export(options: argparse.Namespace) -> Answer:
    """Write a log, or all, into a folder, and list the files."""
    from corrosion.records import export_logs

    logs = () if options.log == "all" else (options.log,)
    files = export_logs(
        options.fleet, options.place, logs, options.form, history=options.history, on=options.on
    )
    return Answer(files, (), EXPORTED)


def files(options: argparse.Namespace) -> Answer:
    """List what lies in the folder, log by log, so that two copies can be compared."""
    from corrosion.records import holdings, read_settings

    rows = holdings(options.fleet)
    return Answer(rows, (), tuple(rows.columns), read_settings(options.fleet).timezone)


def column_and_heading(text: str) -> tuple[str, str]:
    """Read `column=heading`."""
    column, equals, heading = text.partition("=")
    if not equals or not column.strip():
        raise argparse.ArgumentTypeError(f"{text!r}: write COLUMN=HEADING, such as hull_id=Boat")
    return column.strip(), heading.strip()


def zone(text: str) -> ZoneInfo:
    """Read an IANA time zone."""
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise argparse.ArgumentTypeError(
            f"{text!r} is no time zone; write one such as Europe/Lisbon"
        ) from None


_Takes = tuple[tuple[str, ...], dict[str, Any]]


def _sets(option: str, dest: str, const: bool, says: str) -> _Takes:
    return (option,), {"action": "store_const", "const": const, "dest": dest, "help": says}


IMPORT_TAKES: tuple[_Takes, ...] = (
    (("log",), {"metavar": "LOG", "help": "name of the log, such as readings"}),
    (("file",), {"metavar": "FILE", "type": Path, "help": "CSV, a spreadsheet (.xlsx) or Parquet"}),
    (
        ("--map",),
        {
            "metavar": "COLUMN=HEADING",
            "type": column_and_heading,
            "action": "append",
            "help": "read this column from that heading; DATE+TIME joins two; may be repeated",
        },
    ),
    (("--dry-run",), {"action": "store_true", "help": "say what would happen, and write nothing"}),
    _sets("--decimal-comma", "decimal_comma", True, "8,5 is eight and a half"),
    _sets("--decimal-point", "decimal_comma", False, "8.5 is eight and a half"),
    _sets("--day-first", "day_first", True, "03/04/2031 is 3 April"),
    _sets("--month-first", "day_first", False, "03/04/2031 is 4 March"),
    (
        ("--timezone",),
        {"metavar": "ZONE", "type": zone, "help": "zone of times that carry none (the fleet's)"},
    ),
    (
        ("--clock-twice",),
        {
            "choices": ("earlier", "later"),
            "help": "which is meant where the clock showed a time twice (such rows are set aside)",
        },
    ),
    (("--unit",), {"choices": ("mm", "in"), "help": "unit of sizes whose heading says none"}),
    (
        ("--edited",),
        {
            "choices": ("correction", "new", "aside"),
            "help": "what rows are under the entry_id of a row that says something else",
        },
    ),
    (("--sheet",), {"metavar": "NAME", "help": "sheet of a spreadsheet (the first)"}),
    (
        ("--by",),
        {
            "metavar": "ROLE",
            "default": "import",
            "help": "role or shift that imports, never a person's name (import)",
        },
    ),
)
EXPORT_TAKES: tuple[_Takes, ...] = (
    (("log",), {"metavar": "LOG", "help": "name of the log, or all"}),
    (("place",), {"metavar": "FOLDER", "type": Path, "help": "where to; made if it is not there"}),
    (
        ("--as",),
        {
            "choices": ("csv", "parquet"),
            "default": "csv",
            "dest": "form",
            "help": "csv for a spreadsheet; parquet: all logs are a fleet again (csv)",
        },
    ),
    (
        ("--history",),
        {"action": "store_true", "help": "every row, those since corrected or struck out too"},
    ),
)
