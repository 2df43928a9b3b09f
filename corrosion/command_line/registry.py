"""The table of commands. A new one is one more entry here and one function in `answers`."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from corrosion.command_line import (
    answers,
    comparing,
    flush_answer,
    looking_back,
    looking_round,
    moving,
    planning,
    yard,
)
from corrosion.command_line.argument_types import (
    weeks_ahead,
    weeks_back,
)
from corrosion.command_line.arguments import (
    COMMON,
    DAYS,
    FLEET,
    FLEET_ANYWHERE,
    WEEK,
    WIDENED,
    WORKERS,
    Argument,
    argument,
)


@dataclass(frozen=True)
class Command:
    """One command: its name, what it says, what it takes, and the function that answers."""

    name: str
    says: str
    takes: tuple[Argument, ...]
    answer: Callable[[argparse.Namespace], answers.Answer]


COMMANDS = (
    Command(
        "check",
        "what in the logs is not believed, and what to do about it",
        (FLEET, *COMMON),
        answers.check,
    ),
    Command(
        "rank",
        "the hulls in service, riskiest first",
        (FLEET_ANYWHERE, DAYS, WIDENED, WORKERS, *COMMON),
        answers.rank,
    ),
    Command(
        "anodes",
        "every anode in service: how worn, and how many days are left",
        (FLEET_ANYWHERE, DAYS, WIDENED, WORKERS, *COMMON),
        answers.anodes,
    ),
    Command(
        "habits",
        "what wears anodes: running, left unflushed, lying afloat",
        (FLEET, *COMMON),
        answers.habits,
    ),
    Command(
        "flushing",
        "what flushing after each day's last return would have saved in wear, or that these logs "
        "cannot tell",
        (FLEET, *COMMON),
        flush_answer.flushing,
    ),
    Command(
        "moorings",
        "how hard each mooring wears anodes, against the fleet's mean",
        (FLEET, *COMMON),
        comparing.moorings,
    ),
    Command(
        "hires",
        "the hires of the coming two weeks that are moved, cancelled or wait for a look, and why",
        (
            FLEET,
            WEEK,
            argument(
                "--told",
                action="store_true",
                help="instead: what the desk was told with the plans that were issued, and what "
                "became of it",
            ),
            WIDENED,
            *COMMON,
        ),
        planning.hires,
    ),
    Command(
        "plan",
        "the week's pull-outs: which hulls, which day, what is done to them; then what was left "
        "out, and why",
        (
            FLEET,
            WEEK,
            argument(
                "--weeks",
                metavar="N",
                type=weeks_ahead,
                help="how many weeks to weigh against each other (horizon_weeks of fleet.toml, 6)",
            ),
            argument(
                "--horizon",
                action="store_true",
                help="print the pull-outs of all these weeks, not of that week alone",
            ),
            argument(
                "--sheets",
                metavar="FOLDER",
                type=Path,
                help="write that week's work sheets and pick list there, A4 and Letter",
            ),
            argument(
                "--calendar",
                metavar="FILE",
                type=Path,
                help="write that week's calendar there (iCalendar)",
            ),
            WIDENED,
            *COMMON,
        ),
        planning.plan,
    ),
    Command(
        "looks",
        "when to look at each anode next, what sets the date, what the look is worth and costs",
        (
            FLEET,
            WEEK,
            argument(
                "--sheets",
                metavar="FOLDER",
                type=Path,
                help="write that week's round there to print, A4 and Letter",
            ),
            WIDENED,
            *COMMON,
        ),
        looking_round.looks,
    ),
    Command(
        "parts",
        "how many parts the coming weeks take, what lies there, and what to order by when",
        (
            FLEET,
            argument(
                "--weeks",
                metavar="N",
                type=int,
                choices=(4, 13, 26),
                default=4,
                help="how many weeks ahead: 4, 13 or 26 (4)",
            ),
            WIDENED,
            *COMMON,
        ),
        yard.parts,
    ),
    Command(
        "costs",
        "what anode work cost: by mooring, hull-season and hire hour; parts, labour, lost hire",
        (
            FLEET,
            argument(
                "--against-rules",
                action="store_true",
                help="the coming half year instead: the plan's rule beside calendar, hours and "
                "replace at half",
            ),
            WIDENED,
            *COMMON,
        ),
        yard.costs,
    ),
    Command(
        "track-record",
        "how often the forecasts of past weeks were right: said beside found",
        (
            FLEET,
            argument(
                "--weeks",
                metavar="N",
                type=weeks_back,
                default=52,
                help="how many weeks to go back (52)",
            ),
            argument(
                "--kept-in",
                metavar="FOLDER",
                type=Path,
                help="where forecasts already made are kept (your cache folder)",
            ),
            *COMMON,
        ),
        looking_back.track_record,
    ),
    Command(
        "import",
        "what of a file was taken into a log, was there already, or was set aside and why",
        (FLEET, *(Argument(*each) for each in moving.IMPORT_TAKES), *COMMON),
        moving.import_log,
    ),
    Command(
        "export",
        "the files that a log, or all, were written to",
        (FLEET, *(Argument(*each) for each in moving.EXPORT_TAKES), *COMMON),
        moving.export,
    ),
    Command(
        "report",
        "one hull's whole story as a page that prints: history with corrections and gaps, limits, "
        "forecasts that were issued",
        (
            FLEET,
            argument("--hull", metavar="HULL", required=True, help="the hull"),
            argument("--paper", choices=("a4", "letter"), default="a4", help="a4 or letter (a4)"),
            *COMMON,
        ),
        looking_back.report,
    ),
    Command(
        "files",
        "what lies in the folder, with a mark that is the same in every whole copy of it",
        (FLEET, *COMMON),
        moving.files,
    ),
    Command(
        "logs",
        "the log dictionary: every column of every log, with its unit and its meaning",
        (
            argument("log", metavar="LOG", nargs="?", help="one log alone (all)"),
            *COMMON,
        ),
        answers.logs,
    ),
    Command(
        "demo",
        "write the simulated demo fleet, with its answer sheet",
        (
            argument("fleet", metavar="FOLDER", type=Path, help="a new or empty folder to fill"),
            *COMMON,
        ),
        answers.demo,
    ),
)
