"""Files beside the answer of `plan`: work sheets, pick list, calendar."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from corrosion.command_line.output import refuse_place

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal
    from corrosion.workshop import Plan


def write_files(made: Plan, appraisal: Appraisal, options: argparse.Namespace) -> tuple[str, ...]:
    """Write the files that were asked for.

    Parameters
    ----------
    made : Plan
        The plan.
    appraisal : Appraisal
        What it rests on.
    options : Namespace
        `fleet`, `sheets` (a folder or None) and `calendar` (a file or None).

    Returns
    -------
    tuple of str
        One line a kind of file that was written.

    Raises
    ------
    Refusal
        A place is no place to write to; then nothing was written.
    """
    from corrosion.common import write_whole

    texts = {**_sheets(made, appraisal, options), **_calendar(made, appraisal, options)}
    for path in texts:
        refuse_place(path, options.fleet)
    for path, text in texts.items():
        write_whole(path, text.encode("utf-8"))
    sheets_line = f"Work sheets and pick list, A4 and Letter: in {options.sheets}."
    return (
        *([sheets_line] if options.sheets else []),
        *([f"Calendar: {options.calendar}."] if options.calendar else []),
    )


def _sheets(made: Plan, appraisal: Appraisal, options: argparse.Namespace) -> dict[Path, str]:
    if options.sheets is None:
        return {}
    from corrosion.reports import PAPERS, picks_of_week, sheets_of_week

    makers = {"work-sheets": sheets_of_week, "pick-list": picks_of_week}
    return {
        options.sheets / f"{name}-{made.week}-{paper}.html": make(made, appraisal, paper)
        for name, make in makers.items()
        for paper in PAPERS
    }


def _calendar(made: Plan, appraisal: Appraisal, options: argparse.Namespace) -> dict[Path, str]:
    if options.calendar is None:
        return {}
    from corrosion.reports import calendar_of_week

    return {options.calendar: calendar_of_week(made, appraisal.logbook)[0].decode("utf-8")}
