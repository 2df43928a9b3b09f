"""The fit of a fleet: rounds of climbing and of trust, and the terms that the looks ask for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, partial

import numpy as np
import pandas as pd

from corrosion.common import Floats, Remembered
from corrosion.exposure import Exposure, Lives
from corrosion.life_model.climb_end import ClimbEnd, Spoken, end_of, mark_of, told_by_hours
from corrosion.life_model.crust import clear, crust_asked
from corrosion.life_model.design import Design, build_design
from corrosion.life_model.hull_sample import (
    hulls_that_speak_first,
    lives_of,
    lives_until,
    looks_that_speak,
)
from corrosion.life_model.life import FAR, AnodeLife, LifeResults, Top, climb
from corrosion.life_model.likelihood import evaluate
from corrosion.life_model.robust_weights import believe, settled, settled_hulls
from corrosion.life_model.score_tests import Climbed, Trial, gain_of_weights, growth_asked
from corrosion.life_model.surface import layout_of
from corrosion.life_model.wear_acceleration import bend

ROUNDS = 4


FLOODED_GAIN = 6.0
"""Log likelihood that a clock for flooded passages must bring before it is let in (its
likelihood ratio is then 12, a chance of 1 in 4,000 where there is none)."""


@dataclass(frozen=True)
class Fit:
    """The life model of a fleet, with the exposure and lives that it was fitted to.

    Attributes
    ----------
    results : LifeResults
    lives : Lives
    exposure : Exposure
    widen : float
        By how much the standard deviations of whatever is carried ahead from here are widened, 1:
        as fitted. A track record may ask for more.
    unfitted : bool
        The looks contradict each other so far that no fit was to be had: rates are those of the
        priors, and of the looks only the last size of each anode has a say, or none. An answer
        that rests on it has to tell.
    resting : int
        Looks that spoke for their own anodes and hulls alone, not for what the fleet shares.
    """

    results: LifeResults
    lives: Lives
    exposure: Exposure
    widen: float = 1.0
    unfitted: bool = False
    resting: int = 0

    @property
    def model(self) -> AnodeLife:
        """Return the fitted model."""
        model: AnodeLife = self.results.model
        return model


def fit_life(
    lives: Lives,
    exposure: Exposure,
    remembered: Remembered | None = None,
    shared_until_h: float | None = None,
) -> Fit:
    """Fit the life model, letting no single reading, anode or hull pull it far.

    Each round fits, then lowers the trust in what stands far off, and gives verdicts without a
    size their say (`robust_weights`); rounds end when nothing moves. Hours afloat are let into
    engine circuits where the looks plainly ask for them, and so are wear that speeds up over a
    life and crust on anodes that nobody cleaned.
    Where there are thousands of hulls, a sample of them climbs first (`hull_sample`).
    Where no fit is to be had, its rates are those of the priors (`Fit.unfitted`).

    Parameters
    ----------
    lives : Lives
    exposure : Exposure
    remembered : Remembered, optional
        What the last run worked out: where no look at a hull of the sample, and nothing that is
        known of its hours, is another one, the sample does not climb again.
    shared_until_h : float, optional
        Hours since 1970: where there are thousands of hulls, looks taken or written down later
        speak for their own anodes and hulls, not for what the fleet shares. None: all speak for it.

    Returns
    -------
    Fit
    """
    last = Remembered() if remembered is None else remembered
    try:
        with np.errstate(all="ignore"):  # the climb tries rates that overflow; where it ends counts
            fit = _fitted(lives, exposure, shared_until_h, last)
    except (np.linalg.LinAlgError, FloatingPointError):
        fit = None
    return fit if fit is not None and _is_finite(fit) else _by_priors(lives, exposure)


def _is_finite(fit: Fit) -> bool:
    results = fit.results
    spread = np.asarray(results.normalized_cov_params)
    known = np.isfinite(results.params).all() and np.isfinite(spread).all()
    return bool(known and (np.diag(spread) >= 0).all() and np.isfinite(results.evaluation.value))


def _by_priors(lives: Lives, exposure: Exposure) -> Fit:
    """Return the fleet at its priors, with the last size of each anode, or else without a look."""
    sized = lives.looks[lives.looks["kind"] == "size"]
    last = sized.drop_duplicates("life", keep="last")
    try:
        with np.errstate(all="ignore"):
            fit = _at_priors(lives, last, exposure)
    except (np.linalg.LinAlgError, FloatingPointError):
        fit = None
    return fit if fit is not None and _is_finite(fit) else _at_priors(lives, last[:0], exposure)


def _at_priors(lives: Lives, looks: pd.DataFrame, exposure: Exposure) -> Fit:
    design = build_design(replace(lives, looks=looks.reset_index(drop=True)), exposure)
    model = AnodeLife(design, exposure)
    results = model.results_at(Top.at(model.prior_mean.copy(), converged=False, iterations=0))
    return Fit(results, lives, exposure, unfitted=True)


def _fitted(
    lives: Lives, exposure: Exposure, shared_until_h: float | None, last: Remembered
) -> Fit:
    """Fit all looks; of thousands of hulls, what they share by the looks that speak for it."""
    speak = looks_that_speak(lives, shared_until_h)
    if speak is None or shared_until_h is None:
        return _climbed_by_all(lives, exposure, last)
    speaking = lives_until(lives, shared_until_h)
    laid_out = cache(lambda flooded: build_design(lives, exposure, flooded, last))

    def holds(known: object) -> bool:
        assert isinstance(known, Spoken)
        return known.holds(speaking, told_by_hours(laid_out(known.flooded))[speak])

    def climbed() -> tuple[Spoken, ClimbEnd]:
        end = end_of(_climbed_by_all(speaking, exposure, last))
        hours = told_by_hours(laid_out(end.flooded))[speak]
        return Spoken(speaking, hours, end.flooded), end

    end = last.where("what the fleet shares", holds, climbed)
    model = _believed_at(end, laid_out(end.flooded), exposure)
    if model is None:
        return _climbed_by_all(lives, exposure, last)
    top = Top.at(end.params, end.converged, end.iterations)
    resting = int((~speak).sum())
    return Fit(model.results_at(top, end.covariance), lives, exposure, resting=resting)


def _climbed_by_all(lives: Lives, exposure: Exposure, last: Remembered) -> Fit:
    """Fit all looks, where there are thousands of hulls from where a sample of them ended."""
    first = hulls_that_speak_first(lives, exposure)
    if first is None:
        return _fit_of_all(lives, exposure)
    part = lives_of(lives, first)
    design = build_design(part, exposure, flooded=True)
    seen = mark_of(design, exposure)
    end = last.of("end of the sample", (seen,), lambda: end_of(_fit_of_all(part, exposure, design)))
    return _carried_to_all(end, lives, exposure) or _fit_of_all(lives, exposure)


def _fit_of_all(lives: Lives, exposure: Exposure, flooding: Design | None = None) -> Fit:
    """Fit every look from the priors up; `flooding` is their design with flooded passages."""
    laid_out = build_design(lives, exposure)
    results = _rounds(AnodeLife(laid_out, exposure), exposure)
    laid_out, results = _cleared(results, laid_out, exposure)
    results = _growing(results, laid_out, exposure)
    design = build_design(lives, exposure, flooded=True) if flooding is None else flooding
    if layout_of(design).size > layout_of(laid_out).size:
        flooded = _same_looks(read_alike(design, results.model.design), results, exposure)
        if _gain_of_flooding(results, flooded) > FLOODED_GAIN:
            results = _rounds(flooded, exposure)
    return Fit(results, lives, exposure)


def _carried_to_all(end: ClimbEnd, lives: Lives, exposure: Exposure) -> Fit | None:
    """Take the last steps with all looks from where a sample ended; None where it lacks a term.

    The sample says whether passages stay flooded and whether wear speeds up; looks are believed
    anew, hull by hull, and the climb ends where the gradient of the whole fleet does.
    """
    design = build_design(lives, exposure, flooded=end.flooded)
    model = _believed_at(end, design, exposure)
    if model is None:
        return None
    # information grows with the looks, so the round coordinates shrink by their root
    shrunk = np.sqrt(end.looks / model.design.worn.size)
    scale = np.linalg.cholesky(end.covariance) * shrunk
    return Fit(_rounds(model, exposure, end.params, scale), lives, exposure)


def _believed_at(end: ClimbEnd, laid_out: Design, exposure: Exposure) -> AnodeLife | None:
    """Believe looks as far as they go with where a climb ended; None where it lacks a term."""
    model = AnodeLife(read_alike(laid_out, end), exposure)
    if tuple(model.spreads) != end.spreads:
        return None
    for _ in range(ROUNDS):
        seen = evaluate(end.params, model.design, model.moorings, model.trust, sloped=False)
        believed, trust = believe(model.design, seen, model.trust)
        at_rest = settled_hulls(model.design, model.trust, believed, trust)
        if at_rest.all():
            break
        # each hull by its own looks alone: how many rounds another takes is not its business
        design = believed.but_for(at_rest, model.design)
        model = AnodeLife(design, exposure, trust.but_for(at_rest, design.hull, model.trust))
    return model


def read_alike(laid_out: Design, fitted: Design | ClimbEnd) -> Design:
    """Return a design read as that of a fit: crust taken off, wear straightened."""
    return bend(clear(laid_out, fitted.crust), fitted.growth)


def _cleared(
    results: LifeResults, laid_out: Design, exposure: Exposure
) -> tuple[Design, LifeResults]:
    """Take crust off the looks that nobody cleaned, where the looks plainly ask for it."""
    crust = crust_asked(_trial(results, exposure), laid_out)
    if crust is None:
        return laid_out, results
    cleared = clear(laid_out, crust)
    return cleared, _rounds(AnodeLife(cleared, exposure), exposure, results.params)


def _growing(results: LifeResults, laid_out: Design, exposure: Exposure) -> LifeResults:
    """Let wear speed up or slow down over a life, where the looks plainly ask for it."""
    growth = growth_asked(_trial(results, exposure), laid_out)
    if growth == 0:
        return results
    return _rounds(AnodeLife(bend(laid_out, growth), exposure), exposure, results.params)


def _trial(results: LifeResults, exposure: Exposure) -> Trial:
    model: AnodeLife = results.model
    fitted = Climbed(results.params, model.loglike(results.params))
    again = partial(AnodeLife, exposure=exposure, trust=model.trust)
    return Trial(fitted, model, again, _climbed)


def _climbed(model: AnodeLife, start: Floats) -> Climbed:
    top = climb(model, start)
    return Climbed(top.params, model.loglike(top.params))


def _rounds(
    model: AnodeLife, exposure: Exposure, start: Floats | None = None, scale: Floats | None = None
) -> LifeResults:
    """Climb and believe in turns; with a scale, from a start that is known to be near the top."""
    top = climb(model, model.prior_mean if start is None else start, scale)
    for _ in range(ROUNDS):
        design, trust = believe(model.design, model.evaluate(top.params), model.trust)
        if settled(model.design, model.trust, design, trust):
            break
        model = AnodeLife(design, exposure, trust)
        again = climb(model, top.params, top.scale)
        top = again if scale is not None else _highest(model, again)
    return model.results_at(top)


def _highest(model: AnodeLife, top: Top) -> Top:
    """Climb from the priors too where the top lies far off them: a wild look may have led there."""
    if (np.abs(top.params - model.prior_mean) / model.prior_sd).max() < FAR:
        return top
    other = climb(model, model.prior_mean)
    return other if model.loglike(other.params) > model.loglike(top.params) else top


def _same_looks(design: Design, results: LifeResults, exposure: Exposure) -> AnodeLife:
    seen = results.model.design
    same = design.with_looks(seen.worn, seen.error, seen.trust, seen.jump)
    return AnodeLife(same, exposure, results.model.trust)


def _gain_of_flooding(results: LifeResults, flooded: AnodeLife) -> float:
    """Return the log likelihood that hours afloat would bring to engine circuits."""
    at = layout_of(results.model.design).weight.stop
    new = np.arange(at, at + flooded.k_params - results.model.k_params)
    return gain_of_weights(np.insert(results.params, at, np.zeros(new.size)), flooded, new)
