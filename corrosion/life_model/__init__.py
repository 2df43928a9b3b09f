"""How anodes wear: the survival model of anode life, fitted to every look.

In: lives with their looks, and hours by state. Out: a fitted wear clock (`Fit`, `LifeResults`:
parameters, covariance, summary, as statsmodels gives them), each hull's and anode's own pace, what
each operating state costs. It knows the past alone; what comes is the forecast's.
"""

from corrosion.life_model import peer_comparison
from corrosion.life_model.clusters import Clustered, clustered
from corrosion.life_model.design import (
    ACTS_ON,
    FLOODED,
    RANGE_EDGE,
    VERDICT_ERROR,
    Columns,
    Design,
    Terms,
    build_design,
    drying_weights,
    wearing_columns,
)
from corrosion.life_model.habits import habits, warmth
from corrosion.life_model.life import AnodeLife, Fit, LifeResults, climb, fit_life
from corrosion.life_model.likelihood import (
    COLDEST,
    WARMEST,
    Evaluation,
    Rates,
    Surface,
    evaluate,
    layout_of,
    surface_lost,
    take_apart,
)
from corrosion.life_model.peer_comparison import Paces, paces
from corrosion.life_model.priors import SURFACE_MM_PER_H
from corrosion.life_model.robust_weights import Effects, effects
from corrosion.life_model.wear_acceleration import bend, bent, slope, straightened

__all__ = [
    "ACTS_ON",
    "COLDEST",
    "FLOODED",
    "RANGE_EDGE",
    "SURFACE_MM_PER_H",
    "VERDICT_ERROR",
    "WARMEST",
    "AnodeLife",
    "Clustered",
    "Columns",
    "Design",
    "Effects",
    "Evaluation",
    "Fit",
    "LifeResults",
    "Paces",
    "Rates",
    "Surface",
    "Terms",
    "bend",
    "bent",
    "build_design",
    "climb",
    "clustered",
    "drying_weights",
    "effects",
    "evaluate",
    "fit_life",
    "habits",
    "layout_of",
    "paces",
    "peer_comparison",
    "slope",
    "straightened",
    "surface_lost",
    "take_apart",
    "warmth",
    "wearing_columns",
]
