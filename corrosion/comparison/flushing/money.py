"""What a flushing policy costs in minutes and money, and what it spares in anodes and pull-outs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.comparison.flushing.whatif import Outcome
from corrosion.records import Checked


@dataclass(frozen=True)
class Bill:
    """A policy's minutes and money over a year; None where the fleet has not said what it takes.

    Attributes
    ----------
    flushes : int, added
    hours : float or None, work of the added flushes
    cost : float or None, currency, work of the added flushes
    anodes, anodes_low, anodes_high : float, allowances not used up
    pull_outs, pull_outs_low, pull_outs_high : float or None
        Changes of engine-circuit anodes spared, as many anodes at a time as now
    spared, spared_low, spared_high : float or None, currency: parts, seals and work of the anodes
    break_even_minutes : float or None, minutes a flush may take for anodes alone to pay it
    castings : float or None
        Damages of the fleet's own usual `late_cost` that would have to be prevented in the year
        to pay for the rest; 0 where the anodes pay alone. How often damage follows is not known.
    casting_cost : float or None, currency, that `late_cost`: its median over these positions
    """

    flushes: int
    hours: float | None
    cost: float | None
    anodes: float
    anodes_low: float
    anodes_high: float
    pull_outs: float | None
    pull_outs_low: float | None
    pull_outs_high: float | None
    spared: float | None
    spared_low: float | None
    spared_high: float | None
    break_even_minutes: float | None
    castings: float | None
    casting_cost: float | None


def bill_of_policy(done: Outcome, checked: Checked, minutes: float | None = None) -> Bill:
    """Work out a policy's minutes and money from the fleet's own settings and prices.

    Parameters
    ----------
    done : Outcome
    checked : Checked
    minutes : float or None, that a flush takes; None: as the fleet's settings say

    Returns
    -------
    Bill
    """
    settings, total = checked.logbook.settings, done.total
    minutes, wage = settings.flush_minutes if minutes is None else minutes, settings.wage_per_hour
    flushes = int(total["added"])
    hours = None if minutes is None else flushes * minutes / 60.0
    cost = None if hours is None or wage is None else hours * wage
    anodes, low, high = (float(total[name]) for name in ("saved", "saved_low", "saved_high"))
    each, at_once = _anode_cost(done, checked), _changed_at_once(checked)
    late = _late_cost(done, checked)
    even = None
    if each is not None and wage and flushes:
        even = anodes * each / wage * 60.0 / flushes
    return Bill(
        flushes=flushes,
        hours=hours,
        cost=cost,
        anodes=anodes,
        anodes_low=low,
        anodes_high=high,
        pull_outs=None if at_once is None else anodes / at_once,
        pull_outs_low=None if at_once is None else low / at_once,
        pull_outs_high=None if at_once is None else high / at_once,
        spared=None if each is None else anodes * each,
        spared_low=None if each is None else low * each,
        spared_high=None if each is None else high * each,
        break_even_minutes=even,
        castings=_castings(cost, None if each is None else anodes * each, late),
        casting_cost=late,
    )


def _castings(cost: float | None, spared: float | None, late: float | None) -> float | None:
    if cost is None or spared is None or not late:
        return None
    return max(cost - spared, 0.0) / late


def _late_cost(done: Outcome, checked: Checked) -> float | None:
    """Return what a late change may cost, as the fleet has entered it, None where it has not."""
    known = _places(done, checked)["late_cost"].dropna()
    return float(known.median()) if len(known) else None


def _places(done: Outcome, checked: Checked) -> pd.DataFrame:
    """Return the engine-circuit positions of the hulls asked about, one row a hull and position."""
    places = checked.anode_positions
    places = places[places["circuit"] == "engine"]
    hulls = checked.hulls[checked.hulls["hull_id"].isin(done.hulls["hull_id"])]
    return hulls[["hull_id", "layout"]].merge(places, on="layout")


def _anode_cost(done: Outcome, checked: Checked) -> float | None:
    """Return what one change of an engine-circuit anode costs here: part, seal, work."""
    mine = _places(done, checked)
    parts = mine["part_cost"] + mine["seal_cost"].fillna(0.0)
    wage = checked.logbook.settings.wage_per_hour
    if mine.empty or parts.isna().all() or wage is None:
        return None
    shared = mine.groupby(["hull_id", "access_group"], dropna=False)["position"].transform("size")
    minutes = mine["swap_minutes"].fillna(0.0) + mine["access_minutes"].fillna(0.0) / shared
    return float((parts + minutes / 60.0 * wage).mean())


def _changed_at_once(checked: Checked) -> float | None:
    """Return how many engine-circuit anodes are changed at one visit, as the log has it."""
    places = checked.anode_positions.query("circuit == 'engine'")["position"].unique()
    fitted = checked.fittings[checked.fittings["position"].isin(places)]
    later = fitted[fitted.duplicated(["hull_id", "position"])]
    if later.empty:
        return None
    visits = later.groupby(["hull_id", later["fitted_at"].dt.floor("D")]).size()
    return float(np.mean(visits))


def beside(done: dict[str, Outcome], checked: Checked) -> pd.DataFrame:
    """Lay policies side by side, one row each: policy and the fields of `Bill`."""
    rows = [{"policy": name, **vars(bill_of_policy(each, checked))} for name, each in done.items()]
    return pd.DataFrame(rows)
