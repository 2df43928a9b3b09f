"""How much more likely the looks at an anode are if it hardly wears than if it wears like its
sisters.

An anode that is insulated, crusted or loose loses next to nothing while its sisters do. The ratio
of the two likelihoods is what the looks say; what it is set against (how rare such anodes are, its
contact, a potential) is `corrosion.forecast.protection`'s.
"""

from __future__ import annotations

import numpy as np
from scipy.stats import norm, pearson3

from corrosion.common import Codes, Floats
from corrosion.life_model.peer_comparison.spans import UNEVEN, FleetLooks, Pace, Span

IDLE_PACE, IDLE_SD = 0.05, 0.08
"""Wear of an anode that gives no current, against its sisters' (its own corrosion; common practice,
no source)."""
STRANGE = 0.005
"""Share of sound anodes that wear like nothing their sisters tell (mixed up, measured badly), at
any pace up to `STRANGE_UP_TO` times the usual: it bounds what looks alone can prove."""
STRANGE_UP_TO = 3.0
FROM_THE_START = 0.7
"""Weight of having been idle from the start; the rest is shared by the last two and three looks."""


def idle_log_odds(windows: list[Span], base: Pace, fleet: FleetLooks, lives: Codes) -> Floats:
    """Weigh an idle anode against one that wears like the hull's others.

    Parameters
    ----------
    windows : list of Span, wear over the last two and three looks, each of shape (k,)
    base : Pace, shape (k,), what the hull's other anodes say of its pace
    fleet : FleetLooks, looks of all lives
    lives : ndarray of int, shape (k,), the lives asked for

    Returns
    -------
    ndarray, shape (k,)
        Log of the ratio of the likelihoods, 0 where no look tells.
    """
    pace, variance = _pace_since_start(fleet, lives)
    since_start = FROM_THE_START * _ratio(pace, variance, base, fleet)
    lately = [
        _ratio(span.gained / span.usual, span.variance / span.usual**2, base, fleet)
        for span in windows
    ]
    return np.asarray(np.log(since_start + (1.0 - FROM_THE_START) * np.mean(lately, axis=0)))


def _pace_since_start(fleet: FleetLooks, lives: Codes) -> tuple[Floats, Floats]:
    """Return each life's pace over all its looks, and its variance; NaN where there are none.

    By least squares through the start; the wander of wear does not average out.
    """
    first = fleet.looks.drop_duplicates("life").set_index("life")
    later = fleet.looks[fleet.looks["life"].duplicated()]
    began = first.reindex(later["life"])
    usual = later["clock"].to_numpy(float) - began["clock"].to_numpy(float)
    gained = later["worn"].to_numpy(float) - began["worn"].to_numpy(float)
    weight = np.where(usual > 0, usual, 0.0) / (UNEVEN * later["error"].to_numpy(float) + 1e-9)
    life, size = later["life"].to_numpy(np.intp), fleet.hull.size
    known = np.bincount(life, weight * usual, minlength=size)
    moment = np.bincount(life, weight * gained, minlength=size)
    longest = np.zeros(size)
    np.maximum.at(longest, life, usual)
    start = np.zeros(size)
    start[first.index] = first["error"].to_numpy(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        pace = moment / known
        wander = UNEVEN * (fleet.process / longest + start / longest**2)
        variance = 1.0 / known + wander
    has_pace = known > 0
    return np.where(has_pace, pace, np.nan)[lives], np.where(has_pace, variance, np.nan)[lives]


def _ratio(pace: Floats, variance: Floats, base: Pace, fleet: FleetLooks) -> Floats:
    natural = base.variance + (fleet.anode_sd * base.mean) ** 2
    spread = natural + variance
    skew = 2 * natural**2 / base.mean / spread**1.5
    known = np.isfinite(spread) & np.isfinite(pace)
    spread, pace = np.where(known, spread, 1.0), np.where(known, pace, base.mean)
    z = (pace - base.mean) / np.sqrt(spread)
    # what wears even less than nothing is no less idle
    with np.errstate(divide="ignore"):  # a pace at the foot of the curve has a density of nothing
        usual = pearson3.pdf(z, np.where(known, skew, 0.1)) / np.sqrt(spread)
    sound = (1 - STRANGE) * usual + STRANGE / (STRANGE_UP_TO * base.mean)
    noise = np.where(known, variance, 1.0)
    idle = norm.pdf(pace, IDLE_PACE * base.mean, np.sqrt((IDLE_SD * base.mean) ** 2 + noise))
    return np.asarray(np.where(known, idle / sound, 1.0))
