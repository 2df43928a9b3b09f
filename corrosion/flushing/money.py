"""What a flushing policy costs in minutes and money, and what it spares in anodes and pull-outs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.checks import Checked
from corrosion.flushing.whatif import Outcome

SAME_VISIT = "D"


@dataclass(frozen=True)
class Bill:
    """A policy's minutes and money over a year; None where the fleet has not said what it takes.

    Attributes
    ----------
    flushes : int, added
    hours : float or None, work of the added flushes
    cost : float or None, currency, work of the added flushes
    anodes, anodes_low, anodes_high : float, allowances not used up
    pull_outs : float or None, changes of engine-circuit anodes spared, as many at a time as now
    spared, spared_low, spared_high : float or None, currency: parts, seals and work of the anodes
    break_even_minutes : float or None, minutes a flush may take for anodes alone to pay it
    """

    flushes: int
    hours: float | None
    cost: float | None
    anodes: float
    anodes_low: float
    anodes_high: float
    pull_outs: float | None
    spared: float | None
    spared_low: float | None
    spared_high: float | None
    break_even_minutes: float | None


def bill(done: Outcome, checked: Checked) -> Bill:
    """Work out a policy's minutes and money from the fleet's own settings and prices.

    Parameters
    ----------
    done : Outcome
    checked : Checked

    Returns
    -------
    Bill
    """
    settings, total = checked.logbook.settings, done.total
    minutes, wage = settings.flush_minutes, settings.wage_per_hour
    flushes = int(total["added"])
    hours = None if minutes is None else flushes * minutes / 60.0
    cost = None if hours is None or wage is None else hours * wage
    anodes, low, high = (float(total[name]) for name in ("saved", "saved_low", "saved_high"))
    each, at_once = _anode_cost(done, checked), _changed_at_once(checked)
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
        spared=None if each is None else anodes * each,
        spared_low=None if each is None else low * each,
        spared_high=None if each is None else high * each,
        break_even_minutes=even,
    )


def _anode_cost(done: Outcome, checked: Checked) -> float | None:
    """Return what one change of an engine-circuit anode costs here: part, seal, work."""
    places = checked.anode_positions
    places = places[places["circuit"] == "engine"]
    hulls = checked.hulls[checked.hulls["hull_id"].isin(done.hulls["hull_id"])]
    mine = hulls[["hull_id", "layout"]].merge(places, on="layout")
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
    visits = later.groupby(["hull_id", later["fitted_at"].dt.floor(SAME_VISIT)]).size()
    return float(np.mean(visits))


def beside(done: dict[str, Outcome], checked: Checked) -> pd.DataFrame:
    """Lay policies side by side, one row each: policy and the fields of `Bill`."""
    rows = [{"policy": name, **vars(bill(each, checked))} for name, each in done.items()]
    return pd.DataFrame(rows)
