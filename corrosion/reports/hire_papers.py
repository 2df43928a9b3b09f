"""Changed hires on paper, for the desk that has to tell the customers: one line a hire."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import stamp
from corrosion.reports.sheets import Paper, render, sheet
from corrosion.workshop import Plan

WHAT: Final = {
    "move": "Moves to",
    "cancel": "Call it off",
    "look-first": "Waits for a look",
}
"""What becomes of a hire, in words for the desk."""


@dataclass(frozen=True)
class ChangedHire:
    """One line of the list: when, which hull, what is to be done, why."""

    when: str
    hull_id: str
    what: str
    to: str
    cost: str
    why: str


def changed_hires(plan: Plan, appraisal: Appraisal, paper: Paper = "a4") -> str:
    """Write the hires that change within two weeks as a list that prints, mooring by mooring.

    Parameters
    ----------
    plan : Plan
    appraisal : Appraisal
        What it rests on.
    paper : {'a4', 'letter'}
        Paper size.

    Returns
    -------
    str
        A whole HTML document, each mooring beginning a page; boxes to tick when the customer is
        told and the book is changed.
    """
    logbook = appraisal.logbook
    moorings = [
        (str(mooring), [_line(row, appraisal) for row in own.to_dict("records")])
        for mooring, own in plan.hires.groupby("mooring_id", sort=True, dropna=False)
    ]
    return sheet(
        "Hires that change", render("changed_hires.html", moorings=moorings), paper=paper,
        stamp=stamp(logbook), simulated=logbook.settings.simulated, heading=not moorings,
    )  # fmt: skip


def _line(row: dict[Any, Any], appraisal: Appraisal) -> ChangedHire:
    settings = appraisal.logbook.settings
    zone = settings.timezone
    starts, ends = (pd.Timestamp(row[name]).tz_convert(zone) for name in ("starts", "ends"))
    until = f"{ends:%H:%M}" if ends.date() == starts.date() else formatting.moment(ends, zone)
    cost = formatting.price(row["cost"], settings.currency) if row["cost"] > 0 else ""
    return ChangedHire(
        f"{formatting.moment(row['starts'], zone)} to {until}",
        str(row["hull_id"]), WHAT[str(row["change"])], str(row["to_hull_id"] or ""), cost,
        str(row["why"]),
    )  # fmt: skip
