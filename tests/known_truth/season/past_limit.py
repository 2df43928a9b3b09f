"""Where the days past the limit come from: each one, beside what the newest plan knew of it.

The truth is known here: when each anode reached its limit, when its hull went out, what the plan
that held then gave for its chance, and when it meant to replace it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from tests.known_truth.season.hiring import HireYard
from tests.known_truth.season.truth import Anode
from tests.known_truth.simulator.physics import Floats

TOLERATED, STOPS = 0.1, 0.5
PACE_DAYS = 14.0
JUMPS = 1.5
"""Wear of the two weeks before the limit beside the anode's own usual pace: above, it jumped."""
CAUSES = (
    *("stopped, and sailed", "stopped, and a look cleared it", "known, visit later in the week"),
    *("known, visit beyond the week", "known, no visit", "doubted, visit later in the week"),
    *("doubted, visit beyond the week", "doubted, no visit", "foreseen, visit later in the week"),
    *("foreseen, visit beyond the week", "foreseen, no visit", "not foreseen", "never seen"),
)
"""known: chance at the plan's hour at the stop's mark; doubted: above the tolerated risk by then;
foreseen: above it by the day itself alone; not foreseen: below it even then."""


@dataclass(frozen=True)
class Belief:
    """What one plan knew and meant.

    Attributes
    ----------
    made_h : float, hours since the fleet's start
    until_h : float, end of the plan's week
    chance : mapping of (hull_id, position) to ndarray, shape (d,), chance past the limit by `grid`
    worn : mapping of (hull_id, position) to (expected worn share, its sd)
    grid : ndarray, shape (d,), days ahead
    stopped : hulls
    visit_h : mapping of (hull_id, position) to the hour at which the plan meant to replace it
    """

    made_h: float
    until_h: float
    chance: dict[tuple[str, str], Floats]
    worn: dict[tuple[str, str], tuple[float, float]]
    grid: Floats
    stopped: frozenset[str]
    visit_h: dict[tuple[str, str], float] = field(default_factory=dict)


def belief_of(appraisal: Any, plan: Any, world: Any, now_h: float, until_h: float) -> Belief:
    """Write down what a plan knew and meant.

    Parameters
    ----------
    appraisal : Appraisal
    plan : Plan
    world : World
    now_h, until_h : float, the plan's hour and the end of its week, hours since the fleet's start
    """
    forecast = appraisal.forecast
    keys = list(zip(forecast.anodes["hull_id"], forecast.anodes["position"], strict=True))
    visits = {}
    for row in plan.pulls.itertuples():
        begins = pd.Timestamp(row.day, tz="UTC") + pd.Timedelta(hours=8)
        at_h = world.fleet.hours(begins if pd.isna(row.starts) else row.starts)
        visits |= {(row.hull_id, name): float(at_h) for name in row.replace}
    hulls = forecast.hulls
    return Belief(
        now_h, until_h, dict(zip(keys, forecast.chance, strict=True)),
        {
            key: (float(mean), float(sd))
            for key, mean, sd in zip(
                keys, forecast.worn_mean[:, 0], forecast.worn_sd[:, 0], strict=True
            )
        },
        forecast.day_grid, frozenset(hulls.loc[hulls["stop"] != "", "hull_id"]), visits,
    )  # fmt: skip


def days_past(yard: HireYard, beliefs: list[Belief]) -> pd.DataFrame:
    """List each day on which a hull went out on hire with an anode past its limit.

    Parameters
    ----------
    yard : HireYard, at the season's end
    beliefs : of every plan of the season, in order

    Returns
    -------
    DataFrame
        One row an anode and day on hire: hull_id, position, day (since the fleet's start),
        days_past (since it reached its limit), made_days (since the plan), crossed_before (the
        plan), looked_after (the plan), chance_now and chance_then (by the plan, when made and for
        that day), visit_days (from that day to the visit, NaN for none), look_days (since the last
        look), worn, believed, believed_sd (at the plan), pace (times the usual before the limit),
        cause.
    """
    out, ids = yard.outings, [hull.hull_id for hull in yard.world.fleet.hulls]
    rows = []
    for at, begins, until, anode in yard.past:
        place = yard.places[at]
        key = (place.hull.hull_id, place.position.position)
        own = out.hull == ids.index(key[0])
        went = np.sort(out.start_h[own & (out.start_h >= begins) & (out.start_h < until)])
        _, first = np.unique(np.floor(went / 24.0), return_index=True)
        for hour in went[first]:
            newest = [each for each in beliefs if each.made_h <= hour]
            if newest:
                rows.append(_day(yard, key, float(hour), begins, anode, newest[-1]))
    return pd.DataFrame(rows)


def _day(
    yard: HireYard, key: tuple[str, str], hour: float, begins: float, anode: Anode, plan: Belief
) -> dict[str, object]:
    ahead = (hour - plan.made_h) / 24.0
    seen = key in plan.chance and np.isfinite(plan.chance[key][0])
    now, then = np.interp([0.0, ahead], plan.grid, plan.chance[key]) if seen else (np.nan, np.nan)
    looks = [
        look for look in yard.looks
        if (look.hull_id, look.position.position) == key and look.read_h < hour
    ]  # fmt: skip
    last = max((look.read_h for look in looks), default=np.nan)
    visit = plan.visit_h.get(key, np.nan)
    believed, sd = plan.worn.get(key, (np.nan, np.nan))
    row = {
        "hull_id": key[0], "position": key[1], "day": int(hour // 24),
        "days_past": (hour - begins) / 24.0, "made_days": ahead,
        "crossed_before": begins < plan.made_h, "chance_now": now, "chance_then": then,
        "visit_days": (visit - hour) / 24.0, "look_days": (hour - last) / 24.0,
        "looked_after": bool(last >= plan.made_h), "worn": anode.worn_at(plan.made_h),
        "believed": believed, "believed_sd": sd, "pace": pace_before(anode, begins),
    }  # fmt: skip
    return row | {"cause": _cause(row, key[0] in plan.stopped, visit, plan)}


def _cause(row: dict[str, Any], stopped: bool, visit_h: float, plan: Belief) -> str:
    if stopped and row["chance_now"] >= STOPS:
        return CAUSES[row["looked_after"]]
    if np.isnan(row["chance_now"]):
        return "never seen"
    meant = (
        "no visit" if np.isnan(visit_h)
        else "visit later in the week" if visit_h < plan.until_h else "visit beyond the week"
    )  # fmt: skip
    if row["chance_now"] >= STOPS:
        return f"known, {meant}"
    if row["chance_now"] >= TOLERATED:
        return f"doubted, {meant}"
    return f"foreseen, {meant}" if row["chance_then"] >= TOLERATED else "not foreseen"


def pace_before(anode: Anode, crossed_h: float) -> float:
    """Return the wear of the two weeks before the limit, as times the anode's usual pace."""
    since = max(crossed_h - 24.0 * PACE_DAYS, anode.fitted_h)
    lately = (1.0 - anode.worn_at(since)) / max(crossed_h - since, 1.0)
    usual = 1.0 / max(crossed_h - anode.fitted_h, 1.0)
    return float(lately / usual)


def by_cause(days: pd.DataFrame) -> pd.DataFrame:
    """Sum the days up by cause: a row a cause, with counts by kind of season.

    Parameters
    ----------
    days : DataFrame, as `days_past`, with kind and seed

    Returns
    -------
    DataFrame, ready to print: cause, days, share, anodes, crossed between plans, jumps, one
        column a kind
    """
    rows = []
    for cause in CAUSES:
        own = days[days["cause"] == cause]
        if own.empty:
            continue
        rows.append(
            {
                "cause": cause,
                "days on hire": len(own),
                "share": f"{len(own) / len(days):.2f}",
                "anodes": len(own[["kind", "seed", "hull_id", "position"]].drop_duplicates()),
                "past since the plan": int((~own["crossed_before"].astype(bool)).sum()),
                "after a jump": int((own["pace"] > JUMPS).sum()),
                "chance now": f"{own['chance_now'].median():.2f}",
                "chance that day": f"{own['chance_then'].median():.2f}",
                "days since a look": f"{own['look_days'].median():.0f}",
            }
            | {kind: int((own["kind"] == kind).sum()) for kind in sorted(set(days["kind"]))}
        )
    return pd.DataFrame(rows)
