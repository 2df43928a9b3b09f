"""Weakly informative priors that keep a small fleet finite and honest.

Wear of a surface, in mm per hour in each state and water, is known to an order of magnitude from
common practice (no source); each weight may lie a factor of e either side, one standard deviation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.chemistry import wear_beside
from corrosion.common import Floats

SURFACE_MM_PER_H = {
    ("engine", "running", "salt"): 0.0055,
    ("engine", "running", "brackish"): 0.0030,
    ("engine", "running", "fresh"): 0.0005,
    ("engine", "unflushed", "salt"): 0.0008,
    ("engine", "unflushed", "brackish"): 0.0004,
    ("engine", "afloat", "salt"): 0.00010,
    ("engine", "afloat", "brackish"): 0.00006,
    ("engine", "afloat", "fresh"): 0.00001,
    ("hull", "running", "salt"): 0.0010,
    ("hull", "running", "brackish"): 0.0006,
    ("hull", "running", "fresh"): 0.0001,
    ("hull", "afloat", "salt"): 0.00050,
    ("hull", "afloat", "brackish"): 0.00030,
    ("hull", "afloat", "fresh"): 0.00008,
}

POSITION_SD = 0.5
WEIGHT_SD = 1.0
MOORING_SD = 0.25
ALLOY_SD = {"salt": 0.8, "brackish": 0.8, "fresh": 1.0}
"""Spread of the factor of an alloy fitted where another is listed, on the log, by water (common
practice, no source): crusts and efficiency are in no table, least of all in fresh water, and
a word ticked wrong in the log must not outlive three looks."""


@dataclass(frozen=True)
class Spread:
    """A normal prior of one parameter: name, mean, standard deviation."""

    name: str
    mean: float
    sd: float


SHAPE = (
    Spread("kappa", 0.02, 0.015),
    Spread("log drying_h", float(np.log(28.0)), 0.5),
    Spread("log hull spread", float(np.log(0.2)), 0.5),
    Spread("log anode spread", float(np.log(0.08)), 0.6),
    Spread("log process", float(np.log(0.05)), 0.7),
    Spread("log reading_mm", float(np.log(0.13)), 0.5),
    Spread("log by eye", 0.0, 0.4),
)
"""Temperature coefficient per C above 15 C (common practice: 2 to 3 % a degree); drying time
constant, hours; spread between hulls and between anodes of a hull, share of their rate; process
noise at one median life; reading error, mm; by-eye error against its stated range."""


def priors(
    positions: pd.DataFrame, groups: pd.DataFrame, moorings: list[str], alloys: pd.DataFrame
) -> list[Spread]:
    """Return one prior a parameter, in the order of the parameter vector.

    Parameters
    ----------
    positions : DataFrame with layout, position
    groups : DataFrame with circuit, state, water
    moorings : list of str, moorings with an effect of their own
    alloys : DataFrame with fitted, listed, water: alloys fitted where another is listed

    Returns
    -------
    list of Spread
    """
    return [
        *(
            Spread(f"position {r.layout} {r.position}", 0.0, POSITION_SD)
            for r in positions.itertuples()
        ),
        *(_weight(str(r.circuit), str(r.state), str(r.water)) for r in groups.itertuples()),
        *(Spread(f"mooring {m}", 0.0, MOORING_SD) for m in moorings),
        *(_alloy(str(r.fitted), str(r.listed), str(r.water)) for r in alloys.itertuples()),
        *SHAPE,
    ]


def _weight(circuit: str, state: str, water: str) -> Spread:
    usual = SURFACE_MM_PER_H.get((circuit, state, water), 0.0005)
    return Spread(f"log {circuit} {state} {water}", float(np.log(usual)), WEIGHT_SD)


def _alloy(fitted: str, listed: str, water: str) -> Spread:
    faster = float(np.log(wear_beside(fitted, listed)))
    return Spread(f"log {fitted} for {listed} {water}", faster, ALLOY_SD.get(water, 1.0))


def means_and_sds(spreads: list[Spread]) -> tuple[Floats, Floats]:
    """Return prior means and standard deviations, each of shape (p,)."""
    return np.array([s.mean for s in spreads]), np.array([s.sd for s in spreads])
