"""Looks at anodes that nobody cleaned: crust makes them read larger than the metal is.

Oxide and growth stand proud of the metal until they are brushed off. Where the looks plainly say so
(a cleaned look falls behind the uncleaned one before it, fleet-wide), what is not said to have been
cleaned is taken to read too large by one mean thickness, and to scatter by as much again: crust is
thin on most and thick on a few (exponential; common practice, no source).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from scipy import optimize

from corrosion.common import Floats
from corrosion.life_model.design import CALIPER, Crust, Design
from corrosion.life_model.score_tests import Climbed, Trial, as_believed

LEAST_LOOKS = 20
"""Caliper looks that were cleaned, and that were not, without which nothing is compared."""
CRUST_GAIN, LEAST_CRUST_MM, MOST_CRUST_MM = 12.0, 0.05, 1.5
"""Log likelihood that crust must bring, and how thick it must be, before it is let in."""
TRIED_MM = (0.1, 0.4)
PROMISING = 3.0
"""Log likelihood, all else as fitted, that is worth a climb."""
ROUNDS, SETTLED = 6, 0.05


def clear(design: Design, crust: Crust | None) -> Design:
    """Return the design with its uncleaned looks read as the metal under the crust.

    Parameters
    ----------
    design : Design, as it was laid out
    crust : Crust or None, none: as it is

    Returns
    -------
    Design
    """
    if crust is None:
        return design
    crusted = design.uncleaned & (design.kind == CALIPER)
    # a caliper's error is the share of the allowance that a mm is
    worn = design.worn + np.where(crusted, crust.mean_mm * design.error, 0.0)
    error = design.error * np.where(crusted, crust.widens, 1.0)
    return replace(design, worn=worn, error=error, crust=crust)


def crust_asked(trial: Trial, laid_out: Design) -> Crust | None:
    """Return the crust on looks that nobody cleaned, None where the looks do not plainly say so.

    Parameters
    ----------
    trial : Trial, of the model without crust
    laid_out : Design, the same looks as they were read

    Returns
    -------
    Crust or None
    """
    caliper = laid_out.kind == CALIPER
    crusted = int((caliper & laid_out.uncleaned).sum())
    if min(crusted, int(caliper.sum()) - crusted) < LEAST_LOOKS:
        return None
    fitted, seen = trial.fitted, as_believed(laid_out, trial.model.design)
    reading_mm = trial.model.evaluate(fitted.params).rates.reading_mm
    tried = [trial.rebuilt(clear(seen, crust_of(mm, reading_mm))) for mm in TRIED_MM]
    if max(model.loglike(fitted.params) for model in tried) - fitted.top < PROMISING:
        return None
    top, crust = fitted, Crust(0.0, 1.0)
    between = (0.0, MOST_CRUST_MM)
    for _ in range(ROUNDS):  # crust was taken for reading error, which is smaller without it
        crust, top = _likeliest(trial, seen, top.params, between, reading_mm)
        before = reading_mm
        reading_mm = trial.rebuilt(clear(seen, crust)).evaluate(top.params).rates.reading_mm
        if abs(reading_mm / before - 1.0) < SETTLED:
            break
        between = (0.5 * crust.mean_mm, min(1.5 * crust.mean_mm, MOST_CRUST_MM))
    is_plain = top.top - fitted.top > CRUST_GAIN and crust.mean_mm > LEAST_CRUST_MM
    return crust if is_plain else None


def crust_of(mean_mm: float, reading_mm: float) -> Crust:
    """Return crust so thick, and as uneven, on looks with so large an error of the caliper."""
    return Crust(mean_mm, float(np.hypot(1.0, mean_mm / reading_mm)))


def _likeliest(
    trial: Trial, seen: Design, start: Floats, between: tuple[float, float], reading_mm: float
) -> tuple[Crust, Climbed]:
    @cache
    def top_of(mean_mm: float) -> Climbed:
        cleared = clear(seen, crust_of(mean_mm, reading_mm))
        return trial.climbed(trial.rebuilt(cleared), start)

    best = optimize.minimize_scalar(
        lambda mean_mm: -top_of(mean_mm).top, bounds=between, method="bounded",
        options={"xatol": 0.02, "maxiter": 9},
    )  # fmt: skip
    return crust_of(float(best.x), reading_mm), top_of(best.x)
