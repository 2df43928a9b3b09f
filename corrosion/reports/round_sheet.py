"""The week's round of looks on paper: mooring by mooring, hull after hull, with boxes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import stamp
from corrosion.reports.sheets import Paper, render, sheet
from corrosion.reports.week_papers import week_days
from corrosion.reports.worksheets import Task, looks_of_hull
from corrosion.workshop import Looks

WHY: Final = {
    "limit": "Its limit is near",
    "sentinel": "It stands for the others at its berth",
    "manual": "The manual's interval is up",
    "odd": "Something is odd: look closely, also at its contact",
    "unread": "Not looked at for long",
    "pays": "The look pays for itself",
}
"""What sets the date of a look, in words for people."""


@dataclass(frozen=True)
class SheetLook:
    """One look on the sheet: the task, why, and the size at which the office is told at once."""

    task: Task
    why: str
    tell: str


@dataclass(frozen=True)
class SheetHull:
    """One hull of the round."""

    hull_id: str
    name: str
    berth: str
    looks: tuple[SheetLook, ...]


def round_sheet(looks: Looks, appraisal: Appraisal, paper: Paper = "a4") -> str:
    """Write the week's round as a page that prints; no chance and no score stands on it.

    Parameters
    ----------
    looks : Looks
    appraisal : Appraisal
        What the looks rest on.
    paper : {'a4', 'letter'}
        Paper size.

    Returns
    -------
    str
        A whole HTML document, each mooring beginning a page.
    """
    logbook = appraisal.logbook
    moorings = [
        (_name_of(appraisal, str(mooring)), round(float(rows["minutes"].sum())),
         _hulls(rows, appraisal))
        for mooring, rows in looks.round.groupby("mooring_id", sort=False)
    ]  # fmt: skip
    title = f"Round of looks · {week_days(looks.week)}"
    return sheet(
        title, render("round_sheet.html", moorings=moorings), paper=paper, stamp=stamp(logbook),
        simulated=logbook.settings.simulated, heading=not moorings,
    )  # fmt: skip


def _hulls(rows: pd.DataFrame, appraisal: Appraisal) -> list[SheetHull]:
    names = appraisal.checked.hulls.drop_duplicates("hull_id", keep="last").set_index("hull_id")
    blocks = []
    for hull, own in rows.groupby("hull_id", sort=False):
        tasks = looks_of_hull(appraisal.checked, str(hull), [str(p) for p in own["position"]])
        by_position = {str(row["position"]): row for row in own.to_dict("records")}
        name = names["name"].get(hull) if "name" in names else None
        group = str(own["group"].iloc[0]) if pd.notna(own["group"].iloc[0]) else ""
        berth = group.removeprefix(str(own["mooring_id"].iloc[0])).strip()
        blocks.append(
            SheetHull(
                str(hull), str(name) if isinstance(name, str) and name != hull else "", berth,
                tuple(
                    SheetLook(task, WHY[by_position[task.position]["why"]],
                              _tell(by_position[task.position], appraisal))
                    for task in tasks
                ),
            )
        )  # fmt: skip
    return blocks


def _tell(row: Mapping[Any, Any], appraisal: Appraisal) -> str:
    """Say the size at which the hull is to come out at once, where it is above the limit."""
    act, limit = float(row["act_size_mm"]), float(row["limit_size_mm"])
    if not act > limit:
        return ""
    return formatting.size(act, appraisal.logbook.settings.length_unit)


def _name_of(appraisal: Appraisal, mooring: str) -> str:
    moorings = appraisal.checked.moorings
    own = moorings.loc[moorings["mooring_id"] == mooring, "name"].dropna()
    return f"{mooring}, {own.iloc[-1]}" if len(own) and own.iloc[-1] != mooring else mooring
