"""One hull's whole story on paper, for whoever audits it: facts as logged, and what was forecast.

Nothing is rewritten: an entry that was corrected stands beside its correction, gaps are named, and
forecasts appear as they were issued, with the version of the method that made them.
"""

from __future__ import annotations

from typing import Any, Final

import pandas as pd
from markupsafe import Markup

from corrosion.common import Refusal, formatting
from corrosion.forecast import Appraisal
from corrosion.records import stamp
from corrosion.reports.dossier import Dossier, dossier
from corrosion.reports.entries_in_order import lines_ahead, lines_of_the_past
from corrosion.reports.hire_papers import WHAT
from corrosion.reports.sheets import Paper, render, sheet

GAP_DAYS: Final = 60


def hull_report(appraisal: Appraisal, hull_id: str, paper: Paper = "a4") -> str:
    """Write the report of one hull: history with corrections and gaps, forecasts, limits.

    Parameters
    ----------
    appraisal : Appraisal
    hull_id : str
    paper : {'a4', 'letter'}

    Returns
    -------
    str
        A whole HTML document that prints.

    Raises
    ------
    Refusal
        The logs know no such hull.
    """
    hull = dossier(appraisal, hull_id)
    if hull is None:
        raise Refusal(f"hulls: there is no hull {hull_id} in these logs. Check its name.")
    settings, zone = appraisal.logbook.settings, appraisal.logbook.settings.timezone
    body = render(
        "hull_report.html",
        facts=_facts(hull, appraisal),
        limits=_limits(hull, appraisal),
        gaps=_gaps(hull, appraisal),
        issued=_issued(hull_id, appraisal),
        hires=_hires(hull_id, appraisal),
        now=_now(hull, appraisal),
        past=lines_of_the_past(hull.history, appraisal.forecast.on, zone),
        ahead=lines_ahead(hull.history, appraisal.forecast.on, zone),
        objections=int((hull.history["objection"] != "").sum()),
    )
    title = f"Hull {hull_id}: anodes, history and forecasts"
    return sheet(
        title, Markup(body), paper=paper, stamp=stamp(appraisal.logbook),
        simulated=settings.simulated,
    )  # fmt: skip


def _facts(hull: Dossier, appraisal: Appraisal) -> list[tuple[str, str]]:
    zone = appraisal.logbook.settings.timezone
    berth = f"{hull.mooring_id}, {hull.stays}, since {formatting.day(hull.since, zone)}"
    first = hull.history["at"].min() if len(hull.history) else None
    return [
        ("Name", hull.name or "none"),
        ("Layout", hull.layout or "not known"),
        ("Berth", berth if hull.mooring_id else "not known"),
        ("First entry", formatting.day(first, zone)),
        ("Entries", str(len(hull.history))),
        ("Corrected or struck out since", str(int((hull.history["standing"] != "stands").sum()))),
    ]


def _limits(hull: Dossier, appraisal: Appraisal) -> list[dict[str, str]]:
    register = appraisal.logbook.anode_positions
    own = register[register["layout"] == hull.layout].drop_duplicates("position")
    unit = appraisal.logbook.settings.length_unit
    return [
        {
            "position": str(row.position),
            "circuit": str(row.circuit),
            "alloy": str(row.alloy),
            "new": formatting.size(row.new_size_mm, unit),
            "limit": formatting.size(row.limit_size_mm, unit),
            "source": str(row.limit_source) if isinstance(row.limit_source, str) else "not entered",
        }
        for row in _tuples(own)
    ]


def _tuples(table: pd.DataFrame) -> list[Any]:
    """Return rows whose cells the type checker takes as they come."""
    return list(table.itertuples())


def _gaps(hull: Dossier, appraisal: Appraisal) -> list[str]:
    """Name stretches of two months and more without a look at any anode of the hull."""
    zone, on = appraisal.logbook.settings.timezone, appraisal.forecast.on
    read = appraisal.logbook.readings
    at = read.loc[read["hull_id"] == hull.hull_id, "read_at"].dropna().sort_values()
    if at.empty:
        return ["No reading of any anode of this hull is on record."]
    ends = pd.concat([at, pd.Series([on])], ignore_index=True)
    gap = ends.diff()
    long = gap > pd.Timedelta(days=GAP_DAYS)
    sentences = [
        f"No look at any anode from {formatting.day(ends[n - 1], zone)} to "
        f"{formatting.day(ends[n], zone)} "
        f"({gap[n].days} days)."
        for n in ends.index[long]
    ]
    return sentences or [f"None: never {GAP_DAYS} days without a look since the first."]


def _issued(hull_id: str, appraisal: Appraisal) -> list[dict[str, str]]:
    """List the forecasts that were issued for the hull, as they were written down then."""
    zone = appraisal.logbook.settings.timezone
    plans = appraisal.logbook.plans
    own = plans[plans["hull_id"] == hull_id].sort_values("issued_at", kind="stable")
    return [
        {
            "issued": formatting.moment(row.issued_at, zone),
            "plan": str(row.plan_id),
            "day": "stays" if pd.isna(row.day) else formatting.day(row.day, zone),
            "work": str(row.replace) if isinstance(row.replace, str) and row.replace else "none",
            "risk": formatting.chance(row.risk_now),
            "pull_by": formatting.day(row.pull_by, zone),
            "method": str(row.method) if isinstance(row.method, str) else "not known",
        }
        for row in _tuples(own)
    ]


def _hires(hull_id: str, appraisal: Appraisal) -> list[dict[str, str]]:
    """List what the desk was told of hires from or to the hull, plan by plan, as it was told."""
    zone, told = appraisal.logbook.settings.timezone, appraisal.logbook.plan_hires
    issued = set(appraisal.logbook.plans["plan_id"])
    about = (told["hull_id"] == hull_id) | (told["to_hull_id"] == hull_id)
    own = told[about & told["plan_id"].isin(issued)]
    return [
        {
            "issued": formatting.moment(row.issued_at, zone),
            "plan": str(row.plan_id),
            "hire": formatting.moment(row.starts, zone),
            "hull_id": str(row.hull_id),
            "what": WHAT[str(row.change)],
            "to": str(row.to_hull_id) if isinstance(row.to_hull_id, str) else "",
            "why": str(row.why) if isinstance(row.why, str) else "not known",
        }
        for row in _tuples(own.sort_values(["issued_at", "starts"], kind="stable"))
    ]


def _now(hull: Dossier, appraisal: Appraisal) -> list[dict[str, str]]:
    zone, unit = appraisal.logbook.settings.timezone, appraisal.logbook.settings.length_unit
    return [
        {
            "position": str(row.position),
            "read": f"{formatting.size(row.last_size_mm, unit)}, "
            f"{formatting.day(row.last_read_at, zone)}",
            "worn": formatting.worn(row.worn),
            "left": formatting.days_left(row.days_left_10, row.days_left_50, row.days_left_90),
            "chance": formatting.chance(row.risk),
            "flag": str(row.flag) or "none",
        }
        for row in _tuples(hull.anodes)
    ]
