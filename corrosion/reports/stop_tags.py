"""Tags for the consoles of hulls that must not be hired out: a page a hull, to print."""

from __future__ import annotations

from typing import Any

from corrosion.common import formatting
from corrosion.forecast import Appraisal, what_lifts
from corrosion.records import stamp
from corrosion.reports.sheets import Paper, render, sheet


def stop_tags(appraisal: Appraisal, paper: Paper = "a4", hull_id: str | None = None) -> str:
    """Write a tag for each hull that is stopped, or for one of them.

    Parameters
    ----------
    appraisal : Appraisal
    paper : {'a4', 'letter'}
        Paper size.
    hull_id : str, optional
        Only this hull's tag.

    Returns
    -------
    str
        A whole HTML document, each hull a page: not for hire, since when, why, what lifts it.
    """
    hulls, logbook = appraisal.forecast.hulls, appraisal.logbook
    stopped = hulls[hulls["stop"] != ""]
    if hull_id is not None:
        stopped = stopped[stopped["hull_id"] == hull_id]
    tags = [_tag(row, appraisal) for row in stopped.to_dict("records")]
    return sheet(
        "Not for hire", render("stop_tags.html", tags=tags), paper=paper, stamp=stamp(logbook),
        simulated=logbook.settings.simulated, heading=not tags,
    )  # fmt: skip


def _tag(row: dict[Any, Any], appraisal: Appraisal) -> dict[str, str]:
    register = appraisal.checked.hulls
    own = register.loc[register["hull_id"] == row["hull_id"], "name"].dropna()
    name = str(own.iloc[-1]) if len(own) and own.iloc[-1] != row["hull_id"] else ""
    return {
        "hull_id": str(row["hull_id"]),
        "name": name,
        "since": formatting.day(row["stop_since"], appraisal.logbook.settings.timezone),
        "why": str(row["stop_why"]),
        "lifts": what_lifts(str(row["stop"])),
    }
