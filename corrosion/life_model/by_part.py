"""A fit of a part of the hulls: hulls are independent given what the fleet shares.

So value and gradient of the whole are the sums of those of its parts, whoever works them out; and
what follows for a hull stands for as long as what the fleet shares and its own looks do.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from corrosion.common import Codes, Floats, Marks, marks_added, marks_of_rows
from corrosion.life_model.climb_end import told_by_hours
from corrosion.life_model.design import Design
from corrosion.life_model.fitting import Fit
from corrosion.life_model.kalman import Steps
from corrosion.life_model.life import AnodeLife, Top
from corrosion.life_model.likelihood import evaluate
from corrosion.life_model.packed_hours import PackedHours
from corrosion.life_model.surface import Trust


@dataclass(frozen=True)
class LooksOfPart:
    """All that the likelihood of a part's looks takes but the parameters."""

    design: Design
    moorings: int
    trust: Trust

    def sums(self, params: Floats) -> tuple[float, Floats]:
        """Return log likelihood and gradient, shape (p,), of the looks alone."""
        evaluation = evaluate(params, self.design, self.moorings, self.trust)
        return evaluation.value, evaluation.gradient


def looks_by_part(model: AnodeLife, first_hulls: Codes) -> list[LooksOfPart]:
    """Take the looks of a model apart by hull.

    Parameters
    ----------
    model : AnodeLife
    first_hulls : ndarray of int, ascending, code of the first hull of each part, 0 first

    Returns
    -------
    list of LooksOfPart, one for each; positions, terms and so the parameters are those of all
    """
    ends = [*first_hulls[1:], model.design.hulls]
    parts = []
    for first, end in zip(first_hulls, ends, strict=True):
        own = np.zeros(model.design.hulls, dtype=bool)
        own[first:end] = True
        design, trust = _design_of(model.design, own), model.trust
        numbered = replace(design, hulls=end - first, hull=design.hull - first)
        theirs = Trust(trust.anode[own[model.design.hull]], trust.hull[own])
        parts.append(LooksOfPart(numbered, model.moorings, theirs))
    return parts


def fit_of_hulls(fit: Fit, own: np.ndarray) -> Fit:
    """Return the fit of some hulls alone, by what all of them said of the fleet.

    Parameters
    ----------
    fit : Fit
    own : ndarray of bool, shape (hulls,), which hulls

    Returns
    -------
    Fit
        Hulls and lives keep their numbers; places in the filter are those of its own design.
    """
    model, results = fit.model, fit.results
    design = _design_of(model.design, own)
    trust = Trust(model.trust.anode[own[model.design.hull]], model.trust.hull)
    ended = results.mle_retvals
    top = Top.at(results.params, ended["converged"], ended["iterations"])
    part = AnodeLife(design, fit.exposure, trust).results_at(top, results.cov_params())
    return replace(fit, results=part)


def marks_of_hulls(fit: Fit) -> Marks:
    """Mark each hull by all that a fit took of its lives and looks, and believed of them.

    Parameters
    ----------
    fit : Fit

    Returns
    -------
    ndarray of uint64, shape (hulls,)
        Of the same hours and parameters, the same where nothing of the hull is another number.
    """
    design, trust, table = fit.model.design, fit.model.trust, fit.lives.lives
    steps = design.steps
    told = told_by_hours(design)[steps.order].T
    looks = marks_of_rows(design.worn, design.kind, design.error, design.trust, design.jump, *told)
    step = np.repeat(np.arange(len(steps.slices)), np.diff(steps.bounds))
    lives = marks_of_rows(
        marks_added(looks, steps.life, step, design.hull.size).view(np.float64),
        design.position, design.alloy, design.start_worn, design.start_error, design.start_caliper,
        trust.anode, trust.hull[design.hull], table["start_h"].to_numpy(float)[steps.lives],
        (table["ended"] == "in service").to_numpy(bool)[steps.lives],
    )  # fmt: skip
    # a hull's lives follow each other as they are numbered
    order = np.argsort(steps.lives)
    hull = design.hull[order]
    turn = np.arange(hull.size) - np.searchsorted(hull, hull)
    return marks_added(lives[order], hull, turn, design.hulls)


def _design_of(design: Design, own: np.ndarray) -> Design:
    """Return the design of some hulls, by a mask of shape (hulls,), under their numbers."""
    lives = own[design.hull]
    looks = lives[design.life]
    place = np.cumsum(lives) - 1
    # the order of steps, and of lives by the number of their looks, is that of all
    sizes = [int(looks[part].sum()) for part in design.steps.slices]
    bounds = np.concatenate([[0], np.cumsum(sizes)]).astype(np.intp)
    steps = Steps(
        design.steps.order[looks], place[design.life[looks]], bounds, design.steps.lives[lives]
    )
    row, packed = np.unique(design.hours.row[looks], return_inverse=True)
    of_lives = {
        name: getattr(design, name)[lives]
        for name in ("position", "alloy", "start_worn", "start_error", "start_caliper")
    }
    of_looks = {
        name: getattr(design, name)[looks]
        for name in ("worn", "kind", "error", "spent", "uncleaned", "trust", "jump", "unsure")
    }
    return replace(
        design, steps=steps, hull=design.hull[lives],
        hours=PackedHours(design.hours.cells[row], packed.reshape(-1)), **of_lives, **of_looks,
    )  # fmt: skip
