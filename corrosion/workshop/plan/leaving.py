"""Why a hull stays where it is: not due, on hire, held back, no part, no room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Any

import numpy as np

from corrosion.common import WHOLE_YEAR_DAYS, after_days, formatting
from corrosion.forecast import Appraisal
from corrosion.workshop.plan.cases import Flags
from corrosion.workshop.plan.options import Option, Setting
from corrosion.workshop.plan.prospects import FARTHEST_DAYS


def reasons_to_leave(
    appraisal: Appraisal,
    setting: Setting,
    options: Sequence[Option],
    out: set[str],
    later: Mapping[str, int],
) -> list[dict[str, Any]]:
    """List the hulls that do not come out within the horizon, each with its reason.

    Parameters
    ----------
    appraisal : Appraisal
    setting : Setting
    options : every judged hull
    out : hulls that come out
    later : week beyond the horizon that a hull was given, by hull

    Returns
    -------
    list of rows, hull_id, mooring_id, risk_now (by the end of the week asked for), pull_by, reason
    """
    forecast = appraisal.forecast
    of_hull = {option.case.hull_id: option for option in options}
    until = setting.horizon.until_week_ends(setting.horizon.week)
    rows: list[dict[str, Any]] = []
    for at, hull in enumerate(forecast.hulls.to_dict("records")):
        name = str(hull["hull_id"])
        if name in out:
            continue
        option = of_hull.get(name)
        reason = "no costs can be worked out: its positions are not known"
        if option is not None:
            reason = reason_to_stay(option, setting, later.get(name))
        rows.append(
            {
                "hull_id": name,
                "mooring_id": hull["mooring_id"],
                "risk_now": float(np.interp(until, forecast.day_grid, forecast.hull_chance[at])),
                "pull_by": hull["pull_by"],
                "reason": reason,
            }
        )
    for hull_id, why in forecast.not_judged[["hull_id", "reason"]].itertuples(index=False):
        rows.append(
            {"hull_id": hull_id, "mooring_id": None, "risk_now": np.nan, "pull_by": None,
             "reason": f"not judged: {why}"}
        )  # fmt: skip
    return rows


def reason_to_stay(option: Option, setting: Setting, later: int | None) -> str:
    """Say why a hull does not come out within the horizon."""
    horizon, days = setting.horizon, len(setting.horizon.days)
    held = _held_back(option, setting)
    anyway = option.weighed.cost_with_rules[:days][:, option.best.replace.any(axis=1)].min(axis=1)
    wanted = float((anyway + option.penalty[:days]).min())
    if option.cost[days:].min() <= wanted + 1e-9:
        return f"{held}not due before {_when(option, setting)}"
    closed = why_no_day(option, setting)
    if closed:
        return f"{held}{closed}"
    near = int(np.where(_possible(option, setting), option.cost[:days], np.inf).argmin())
    then = days + (later if later is not None else int(option.cost[days:].argmin()))
    if option.cost[then] <= option.cost[near] + 1e-9:
        week = horizon.week + timedelta(days=7 * (horizon.weeks + (later or 0)))
        return (
            f"{held}cheapest after this plan, in the week of {formatting.day(week, horizon.zone)}"
        )
    extra = float(option.best.cost[then] - option.best.cost[near])
    money = f"; waiting is expected to cost {formatting.number(extra)} more" if extra >= 1.0 else ""
    return f"{held}no bay day left, other hulls cost more to leave{money}"


def _possible(option: Option, setting: Setting) -> Flags:
    """Return the days on which the hull is free and a bay of its mooring is open, shape (d,)."""
    moorings, days = setting.away.mooring[option.hull_row], len(setting.horizon.days)
    is_open = [
        any(bay.open[at] for bay in setting.yard.at(mooring_id))
        for at, mooring_id in enumerate(moorings)
    ]
    done = np.isfinite(option.best.cost[:days])
    return np.asarray(np.array(is_open) & setting.away.free[option.hull_row] & done)


def _held_back(option: Option, setting: Setting) -> str:
    if not setting.away.skipped[option.hull_row].any():
        return ""
    reason = setting.away.reasons.get(option.case.hull_id, "")
    return f"held back by the manager{f': {reason}' if reason else ' (no reason given)'}; "


def _when(option: Option, setting: Setting) -> str:
    """Say about when the hull is best pulled, no sooner than the plan's end."""
    beyond = option.cost[len(setting.horizon.days) :]
    days = float(option.times[len(setting.horizon.days) + int(beyond.argmin())])
    if days > WHOLE_YEAR_DAYS or days >= FARTHEST_DAYS:
        return "a year from now"
    when = after_days(setting.horizon.on, days, setting.horizon.zone)
    return formatting.day(when, setting.horizon.zone)


def why_no_day(option: Option, setting: Setting) -> str:
    """Say what keeps a hull from coming out on any day at all; empty where some day is possible."""
    horizon, away = setting.horizon, setting.away
    days = len(horizon.days)
    moorings = away.mooring[option.hull_row]
    bays = [setting.yard.at(place) for place in moorings]
    if not any(bays):
        return f"no bay serves {moorings[0]}: enter one in fleet.toml"
    is_open = np.array([any(b.open[at] for b in own) for at, own in enumerate(bays)])
    if not is_open.any():
        closed = {own[0].closed[at] for at, own in enumerate(bays) if own}
        return f"no bay of {moorings[0]} is open until {_last(setting)}: {sorted(closed)[0]}"
    free = is_open & away.free[option.hull_row]
    if not free.any():
        return _never_free(option, setting, is_open)
    if np.isfinite(option.best.cost[:days][free]).any():
        return ""
    short = sorted({part for part in option.case.part_numbers
                    if part is not None and setting.stock.counted(part)
                    and setting.stock.within_reach(part, str(moorings[0])) <= 0})  # fmt: skip
    if short:
        there = max(setting.stock.arrives[part] for part in short)
        return (
            f"part {formatting.listed(short)} not there until {formatting.day(there, horizon.zone)}"
        )
    return "the work takes longer than any bay day has hours"


def _never_free(option: Option, setting: Setting, is_open: np.ndarray) -> str:
    away, place = setting.away, option.hull_row
    if (away.gone[place] | ~is_open).all():
        return "leaves the fleet first"
    if (away.booked[place] & is_open).any():
        return f"on hire on every bay day until {_last(setting)}"
    return f"held back or out until {_last(setting)}"


def _last(setting: Setting) -> str:
    return formatting.day(setting.horizon.days[-1], setting.horizon.zone)
