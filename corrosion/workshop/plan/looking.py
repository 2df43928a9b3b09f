"""What a reading is worth: how often it would change what is done, and what that saves.

The reading is not known yet, so every reading that may come is tried, weighed by its chance
(preposterior analysis; Raiffa & Schlaifer, Applied Statistical Decision Theory, 1961): with each,
the cheapest of what could then be done is taken. What that saves on average over going ahead
without looking, less what the look costs, is its worth.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from corrosion.common import Floats
from corrosion.workshop.plan.cases import Case, Flags
from corrosion.workshop.plan.packages import weigh
from corrosion.workshop.plan.prices import MEASURE_MINUTES
from corrosion.workshop.plan.prospects import Prospects, added_up

READINGS = 9
LEAST_SD = 0.01
WAITS_DAYS = np.array([0.0, 7.0, 21.0, 49.0])
"""How long a hull may wait when a reading turns out well: not at all, a week, three, seven."""


@dataclass(frozen=True)
class Look:
    """The worth of a look at one anode before it is replaced.

    Attributes
    ----------
    anode : int, place among the anodes of the hull
    before : bool, whether it is best taken before the hull is hauled; else on the slip
    worth : float, currency, what it saves on average less what it costs
    chance : float, how often it would change what is done
    worn : float, worn share as read up to which the anode may stay
    """

    anode: int
    before: bool
    worth: float
    chance: float
    worn: float


def worth_of_looks(
    case: Case, ahead: Prospects, at: float, chosen: Flags, error: Floats, lead: int
) -> list[Look]:
    """Return the looks that are worth their cost before a pull-out, best first.

    Parameters
    ----------
    case : Case, k anodes
    ahead : Prospects
    at : float, days ahead of the pull-out
    chosen : bool ndarray, shape (k,), what is to be replaced
    error : ndarray, shape (k,), standard deviation of a reading, share of the allowance
    lead : int, the anode that the pull-out is for; a good reading of it may keep the hull on hire

    Returns
    -------
    list of Look
    """
    own = _of_hull(case, ahead)
    alone = replace(case, rows=np.arange(case.rows.size))
    worth = [
        look
        for k in np.flatnonzero(chosen & (own.sd[:, 0] >= LEAST_SD))
        for look in _looks(alone, own, at, chosen, int(k), float(error[k]), hull_waits=k == lead)
    ]
    return sorted(worth, key=lambda look: -look.worth)


def _of_hull(case: Case, ahead: Prospects) -> Prospects:
    rows = case.rows
    return Prospects(
        ahead.anodes.iloc[rows], ahead.grid, ahead.worn[rows], ahead.sd[rows], ahead.chance[rows],
        ahead.past[rows], ahead.over[rows], ahead.spread[rows],
    )  # fmt: skip


def _looks(
    case: Case, own: Prospects, at: float, chosen: Flags, k: int, error: float, *, hull_waits: bool
) -> list[Look]:
    """Return the look at one anode, where it pays: before the haul, or else on the slip."""
    worn, weights = _readings(own, k, error)
    costs = np.stack([_costs(case, own, at, chosen, k, error, each) for each in worn])
    # the plan knew of better days that it could not have: only what a reading adds may count
    average = np.tensordot(weights, costs, axes=1)
    costs = costs + np.maximum(average[0, 0] - average, 0.0)
    goes_ahead, on_slip, waits = costs[:, 0, 0], costs[:, 0, :].min(axis=1), costs.min(axis=(1, 2))
    minutes_h = MEASURE_MINUTES / 60.0
    worth = [_worth(goes_ahead, on_slip, weights, worn, k, case.wage * minutes_h, before=False)]
    if hull_waits:
        access_h = float(case.access_h[case.group[k]]) + minutes_h
        price = case.wage * access_h + float(case.seal[k])
        worth.append(_worth(goes_ahead, waits, weights, worn, k, price, before=True))
    best = max(worth, key=lambda look: look.worth)
    return [best] if best.worth > 0 and 0 < best.chance < 1 else []


def _worth(
    goes_ahead: Floats, best: Floats, weights: Floats, worn: Floats, k: int, price: float, *,
    before: bool,
) -> Look:  # fmt: skip
    saved = goes_ahead - best
    changes = saved > 1e-6
    limit = float(worn[changes].max()) if changes.any() else 0.0
    above = worn[worn > limit]
    edge = (limit + float(above.min())) / 2 if above.size else limit
    chance = float(weights[changes].sum())
    return Look(k, before, float(saved @ weights) - price, chance, edge)


def _readings(own: Prospects, k: int, error: float) -> tuple[Floats, Floats]:
    """Return worn shares that a reading may lead to believe, and the chance of each."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(READINGS)
    variance = float(own.sd[k, 0]) ** 2
    tells = variance / np.sqrt(variance + error**2)
    return float(own.worn[k, 0]) + tells * nodes, weights / weights.sum()


def _costs(
    case: Case, own: Prospects, at: float, chosen: Flags, k: int, error: float, worn: float
) -> Floats:
    """Return the cost with a reading, shape (t, 2): when, and with the anode replaced or left."""
    read = after_reading(own, k, error, worn)
    due, mid = case.due.copy(), case.mid.copy()
    due[k], mid[k] = read.when_chance(k, float(case.level[k])), float(read.when_worn(k, 1.0))
    both = np.repeat(chosen[None, :], 2, axis=0)
    both[1, k] = False
    looked_at = replace(case, due=due, mid=mid)
    times = at + WAITS_DAYS
    return weigh(looked_at, read, times, np.zeros(times.size), both).cost


def after_reading(own: Prospects, k: int, error: float, worn: float) -> Prospects:
    """Return prospects as they would be after one anode was read.

    Parameters
    ----------
    own : Prospects of one hull
    k : int, which anode
    error : float, standard deviation of the reading, share of the allowance
    worn : float, worn share that is believed then

    Returns
    -------
    Prospects
    """
    variance = float(own.sd[k, 0]) ** 2
    left = variance * error**2 / (variance + error**2)
    path = own.worn[k] + (worn - own.worn[k, 0])
    sd = np.sqrt(np.maximum(own.sd[k] ** 2 - variance, 0.0) + left)
    chance = np.maximum.accumulate(ndtr((path - 1.0) / np.maximum(sd, 1e-4)))
    chance[chance < 1e-9] = 0.0
    return replace(
        own,
        worn=_with(own.worn, k, path),
        sd=_with(own.sd, k, sd),
        chance=_with(own.chance, k, chance),
        past=_with(own.past, k, added_up(chance, own.grid)),
    )


def _with(table: Floats, k: int, row: Floats) -> Floats:
    changed = table.copy()
    changed[k] = row
    return changed
