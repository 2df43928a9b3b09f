"""Changed hires on paper, for the desk that has to tell the customers: one line a hire."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import stamp
from corrosion.reports.sheets import Paper, render, sheet
from corrosion.workshop import (
    AS_TOLD,
    NO_LONGER,
    NOT_TOLD,
    NOT_YET,
    HiresTold,
    Plan,
    hires_since_issue,
)

WHAT: Final = {
    "move": "Moves to",
    "cancel": "Call it off",
    "look-first": "Waits for a look",
}
"""What becomes of a hire, in words for the desk."""
DONE_WITH: Final = {"move": "move to", "cancel": "call it off", "look-first": "wait for a look"}
STAYS: Final = "Stays after all"
TOLD_BEFORE: Final = {
    AS_TOLD: "as told on {when}, and done",
    NOT_YET: "as told on {when}",
    NOT_TOLD: "new: not told before",
}


@dataclass(frozen=True)
class ChangedHire:
    """One line of the list: when, which hull, what is to be done, why."""

    when: str
    hull_id: str
    what: str
    to: str
    cost: str
    why: str
    told: str


def changed_hires(plan: Plan, appraisal: Appraisal, paper: Paper = "a4") -> str:
    """Write the hires that change within two weeks as a list that prints, mooring by mooring.

    Where a plan is issued that kept what the desk was told, each line says whether it was told so;
    a hire of which it was told, and that stays after all, has a line as well.

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
    told = hires_since_issue(plan, logbook)
    table = pd.concat([plan.hires, _staying(told)]) if told.kept else plan.hires
    table = table.sort_values(["starts", "hull_id"], kind="stable")
    moorings = [
        (str(mooring), [_line(row, told, appraisal) for row in own.to_dict("records")])
        for mooring, own in table.groupby("mooring_id", sort=True, dropna=False)
    ]
    return sheet(
        "Hires that change", render("changed_hires.html", moorings=moorings), paper=paper,
        stamp=stamp(logbook), simulated=logbook.settings.simulated, heading=not moorings,
    )  # fmt: skip


def _staying(told: HiresTold) -> pd.DataFrame:
    """Return the hires that the desk was told of, and that stay where they are booked after all."""
    rows = told.rows[told.rows["what"] == NO_LONGER]
    return rows.assign(change="stay", to_hull_id="", cost=0.0, why=rows["said"].str.rstrip("."))


def _line(row: dict[Any, Any], told: HiresTold, appraisal: Appraisal) -> ChangedHire:
    settings = appraisal.logbook.settings
    zone = settings.timezone
    starts, ends = (pd.Timestamp(row[name]).tz_convert(zone) for name in ("starts", "ends"))
    until = f"{ends:%H:%M}" if ends.date() == starts.date() else formatting.moment(ends, zone)
    cost = formatting.price(row["cost"], settings.currency) if row["cost"] > 0 else ""
    return ChangedHire(
        f"{formatting.moment(row['starts'], zone)} to {until}",
        str(row["hull_id"]), WHAT.get(str(row["change"]), STAYS), str(row["to_hull_id"] or ""),
        cost, str(row["why"]), told_before(str(row["hull_id"]), row["starts"], told, zone),
    )  # fmt: skip


def told_before(hull_id: str, starts: pd.Timestamp, told: HiresTold, zone: tzinfo) -> str:
    """Say whether the desk was told what today's plan asks of a hire.

    Parameters
    ----------
    hull_id : str, where the book has it
    starts : Timestamp, UTC
    told : HiresTold
    zone : tzinfo, the fleet's

    Returns
    -------
    str
        Empty where no plan is issued that kept it, or the hire stays where it is booked.
    """
    before = told.of_today.get((hull_id, starts))
    if before is None or not before["now"]:
        return ""
    when = formatting.moment(before["told_at"], zone)
    known = TOLD_BEFORE.get(before["what"])
    return known.format(when=when) if known else f"told otherwise on {when}: {was_to(before)}"


def was_to(told: dict[Any, Any]) -> str:
    """Say what the desk was told to do with a hire: ``move to H2``, ``call it off``.

    Parameters
    ----------
    told : dict, a row of `HiresTold.rows`
    """
    return f"{DONE_WITH[told['told']]} {told['told_to']}".strip()
