"""Wear since the last look that nobody's entry tells, and how far it is a guess."""

from __future__ import annotations

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.life_model import (
    Columns,
    Evaluation,
    Fit,
    Surface,
    Terms,
    surface_lost,
    wearing_columns,
)


def unwritten_hours(
    fit: Fit, lives: Codes, engine: np.ndarray, on_h: float
) -> tuple[Columns | None, Floats | float]:
    """Return the hours since each anode's last look that no entry tells, and their spread.

    Parameters
    ----------
    fit : Fit
    lives : ndarray of int, shape (k,), places in the filter
    engine : ndarray of bool, shape (k,), whether the anode is on an engine circuit
    on_h : float, hours since 1970

    Returns
    -------
    columns : Columns of shape (k, ...), or None where all entries are in place
    spread : ndarray, shape (k,), standard deviation as a share
    """
    filling, design = fit.exposure.filling, fit.model.design
    if filling is None:
        return None, 0.0
    number, hull = design.steps.lives[lives], design.hull[lives]
    last = fit.lives.looks.groupby("life")["at_h"].max().reindex(number)
    start = fit.lives.lives["start_h"].to_numpy(float)[number]
    since = np.where(last.isna(), start, last.to_numpy(float))
    hours = filling.until(hull, np.full(hull.size, on_h)) - filling.until(hull, since)
    return (
        wearing_columns(design.terms, hours, engine, design.alloy[lives]),
        filling.spread[hull],
    )


def unwritten_sd(
    fit: Fit, evaluation: Evaluation, lives: Codes, columns: Columns | None, spread: Floats | float
) -> Floats | float:
    """Return the standard deviation of worn that use not written down brings, shape (k, 1).

    Parameters
    ----------
    fit : Fit
    evaluation : Evaluation
    lives : ndarray of int, shape (k,)
    columns, spread : as `unwritten_hours` gives them

    Returns
    -------
    ndarray, shape (k, 1), share of the allowance; 0 where all entries are in place
    """
    if columns is None:
        return 0.0
    design = fit.model.design
    surface = surface_lost(columns, design.terms, evaluation.rates)
    mm = surface.mm - by_state(surface, design.terms, "afloat")
    return np.asarray(evaluation.rates.share_per_mm[design.position[lives]] * mm * spread)[:, None]


def by_state(surface: Surface, terms: Terms, state: str) -> Floats:
    """Return the surface lost in one operating state, mm, shape (n,).

    Parameters
    ----------
    surface : Surface of shape (n, ...)
    terms : Terms
    state : str

    Returns
    -------
    ndarray, shape (n,)
    """
    chosen = terms.groups["state"].to_numpy(object)[surface.group] == state
    return np.asarray(surface.hours[:, chosen] @ surface.rate[chosen])
