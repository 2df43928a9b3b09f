"""Words and options that several commands take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from corrosion.command_line.argument_types import (
    date_or_time,
    days_ahead,
    folder_or_address,
    some_date,
)

FORMATS = ("table", "csv", "json")


@dataclass(frozen=True)
class Argument:
    """One word or option of a command line, as `argparse` takes it."""

    names: tuple[str, ...]
    settings: Mapping[str, Any]


def argument(*names: str, **settings: Any) -> Argument:
    """Write an `Argument` the way `add_argument` is called."""
    return Argument(names, settings)


FLEET = argument("fleet", metavar="FLEET", type=Path, help="the folder with the fleet's logs")
FLEET_ANYWHERE = argument(
    "fleet", metavar="FLEET", type=folder_or_address,
    help="the folder with the fleet's logs; with --workers also an address that fsspec opens",
)  # fmt: skip
WORKERS = argument(
    "--workers", metavar="ADDRESS",
    help="share the work out among the workers of the Dask scheduler at this address, such as "
    "tcp://127.0.0.1:8786; each must see FLEET under the same path or address (this process alone)",
)  # fmt: skip
DAYS = argument(
    "--days",
    metavar="N",
    type=days_ahead,
    default=7,
    help="how many days to look ahead (7)",
)
WEEK = argument(
    "--week", metavar="DATE", type=some_date,
    help="a day of the week to plan (the week of the next working day)",
)  # fmt: skip
WIDENED = argument(
    "--widened",
    action="store_true",
    help="widen the ranges by what the fleet's newest track record asks (they stay as fitted)",
)
COMMON = (
    argument(
        "--on",
        metavar="DATE_OR_TIME",
        type=date_or_time,
        help="answer as on that date or time, from what was logged by then; a date alone is 00:00 "
        "where the fleet is (now; for a simulated fleet, its last logged moment)",
    ),
    argument(
        "--format",
        choices=FORMATS,
        default="table",
        help="table to read, csv for a spreadsheet, json for a program (table)",
    ),
    argument(
        "--output",
        metavar="FILE",
        type=Path,
        help="write to this file instead of the screen; it changes all at once or not at all",
    ),
)
