"""The life model of the engine circuit alone: flushing reaches no other anode."""

from __future__ import annotations

import numpy as np

from corrosion.common import Floats
from corrosion.exposure import Exposure, Lives
from corrosion.life_model import AnodeLife, Fit, build_design, climb, fit_life, read_alike


def engine_lives(lives: Lives) -> Lives:
    """Keep the lives of engine-circuit anodes and the looks at them, numbered anew."""
    on_engine = (lives.lives["circuit"] == "engine").to_numpy(bool)
    number = np.cumsum(on_engine) - 1
    looks = lives.looks[on_engine[lives.looks["life"].to_numpy(int)]]
    looks = looks.assign(life=number[looks["life"].to_numpy(int)]).reset_index(drop=True)
    table = lives.lives[on_engine].reset_index(drop=True)
    table.index.name = lives.lives.index.name
    return Lives(table, looks)


def fit_engine(lives: Lives, exposure: Exposure) -> Fit:
    """Fit the life model to the engine circuit: a hull's pace there is not its pace outside.

    Parameters
    ----------
    lives : Lives
    exposure : Exposure

    Returns
    -------
    Fit
    """
    return fit_life(engine_lives(lives), exposure)


def refit(fit: Fit, exposure: Exposure) -> Fit:
    """Fit the same looks, believed as before, to other hours, so that likelihoods compare.

    Parameters
    ----------
    fit : Fit
    exposure : Exposure, the same cells with other hours in them

    Returns
    -------
    Fit
    """
    seen = fit.model.design
    design = read_alike(build_design(fit.lives, exposure, is_flooded(fit)), seen)
    design = design.with_looks(seen.worn, seen.error, seen.trust, seen.jump)
    model = AnodeLife(design, exposure, fit.model.trust)
    results = model.results_at(climb(model, np.asarray(fit.results.params, dtype=float)))
    return Fit(results, fit.lives, exposure)


def is_flooded(fit: Fit) -> bool:
    """Tell whether the looks asked for wear of engine passages that lie afloat."""
    groups = fit.model.design.terms.groups
    return bool(((groups["circuit"] == "engine") & (groups["state"] == "afloat")).any())


def likelihood_by_hull(model: AnodeLife, params: Floats) -> Floats:
    """Return the log likelihood of each hull's looks, shape (hulls,), up to a constant."""
    evaluation, hull = model.evaluate(params), model.design.hull
    track = evaluation.track
    own = track.log_spread + track.residual_residual - np.log(evaluation.shrink)
    own -= evaluation.anode_variance * track.clock_residual**2 * evaluation.shrink
    summed = np.bincount(hull, own, minlength=model.design.hulls)
    shared = 1.0 / (1.0 + evaluation.hull_variance * evaluation.hull_clock)
    effect = np.log(shared) + evaluation.hull_variance * evaluation.hull_residual**2 * shared
    return np.asarray(0.5 * (effect - summed))
