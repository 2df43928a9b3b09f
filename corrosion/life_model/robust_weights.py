"""How far each look, anode and hull is believed, and what a look without a size says.

No single reading, anode or hull may pull the fit far: what stands more than OUTLIER standard
deviations off has its variance raised until it stands just there. A look that shows more wear
than was due, with no later look against it, is taken for wear that came in a jump (a hot berth,
say): the anode is as worn as it measures, though its rate is not read from it. A verdict
("ok", "worn") is worth a normal look with the moments that it leaves behind (expectation
propagation; Minka 2001, Rasmussen & Williams 2006, section 3.6).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import erfcx

from corrosion.common import Floats
from corrosion.life_model.design import VERDICT, VERDICT_ERROR, Design
from corrosion.life_model.kalman import smooth
from corrosion.life_model.likelihood import Evaluation
from corrosion.life_model.surface import Trust

OUTLIER = 3.0
LEAST_TRUST = 1e-4
SETTLED = 0.05
SAYS_NOTHING = 1e3


@dataclass(frozen=True)
class Effects:
    """Posterior of the hull's and the anode's own rates, at given parameters.

    Attributes
    ----------
    hull, hull_variance : ndarray, shape (hulls,), departure of the hull from the fleet's rate
    own, own_variance : ndarray, shape (k,), departure of each life, hull and anode together
    """

    hull: Floats
    hull_variance: Floats
    own: Floats
    own_variance: Floats


def pace_effects(design: Design, evaluation: Evaluation) -> Effects:
    """Return the posterior of the integrated effects.

    Parameters
    ----------
    design : Design
    evaluation : Evaluation

    Returns
    -------
    Effects
    """
    variance = evaluation.hull_variance / (1 + evaluation.hull_variance * evaluation.hull_clock)
    hull = variance * evaluation.hull_residual
    c, ta = evaluation.shrink, evaluation.anode_variance
    own = hull[design.hull] * c + ta * c * evaluation.track.clock_residual
    return Effects(hull, variance, own, ta * c + c**2 * variance[design.hull])


def believe(design: Design, evaluation: Evaluation, trust: Trust) -> tuple[Design, Trust]:
    """Return the design and trust with outliers held back and verdicts spoken.

    Parameters
    ----------
    design : Design
    evaluation : Evaluation
    trust : Trust

    Returns
    -------
    design : Design
    trust : Trust
    """
    effect = pace_effects(design, evaluation)
    smoothed = smooth(design.steps, evaluation.track)
    own = effect.own[design.life]
    pulled = smoothed.residual - own * smoothed.clock
    worn, error = _verdicts(design, evaluation, effect, pulled, smoothed.precision, smoothed.clock)
    off = np.abs(pulled) / np.sqrt(smoothed.precision)
    sized = design.kind != VERDICT
    raised = (smoothed.jump - own * smoothed.jump_clock) / np.sqrt(smoothed.jump_precision)
    jumped = sized & (raised >= 0.999 * off) & ((raised > OUTLIER) | (design.jump > 0))
    reading = np.where(sized & ~jumped, _lowered(design.trust, off), design.trust)
    jump = np.where(jumped, _jump_variance(raised, smoothed.jump_precision, design.jump), 0.0)
    spoken = design.with_looks(worn, error, reading, jump)
    return spoken, _trust(design, evaluation, effect, trust)


def _lowered(trust: Floats, off: Floats) -> Floats:
    """Lower the trust of what stands out; raise it again, no further than before, where it fits."""
    return np.asarray(np.clip(trust * (OUTLIER / np.maximum(off, 1e-9)) ** 2, LEAST_TRUST, 1.0))


def _jump_variance(raised: Floats, precision: Floats, variance: Floats) -> Floats:
    """Return the variance of a jump that makes what shows stand OUTLIER off."""
    return np.asarray(np.maximum((raised**2 / OUTLIER**2 - 1) / precision + variance, 0.0))


def _trust(design: Design, evaluation: Evaluation, effect: Effects, trust: Trust) -> Trust:
    a, b = evaluation.track.clock_clock, evaluation.track.clock_residual
    looked = a > 1e-9
    base = evaluation.anode_variance * trust.anode
    apart = np.where(looked, b / np.maximum(a, 1e-9) - effect.hull[design.hull], 0.0)
    anode = _trust_of(apart, 1 / np.maximum(a, 1e-9), base)
    mean = evaluation.hull_residual / np.maximum(evaluation.hull_clock, 1e-9)
    known = evaluation.hull_clock > 1e-9
    hull_base = evaluation.hull_variance * trust.hull
    hull = _trust_of(
        np.where(known, mean, 0.0), 1 / np.maximum(evaluation.hull_clock, 1e-9), hull_base
    )
    return Trust(anode, hull)


def _trust_of(apart: Floats, noise: Floats, variance: Floats) -> Floats:
    """Return the share of the variance's inverse that makes `apart` stand OUTLIER off."""
    needed = np.maximum((apart / OUTLIER) ** 2 - noise, variance)
    return np.asarray(np.clip(variance / np.maximum(needed, 1e-300), LEAST_TRUST, 1.0))


def _verdicts(
    design: Design,
    evaluation: Evaluation,
    effect: Effects,
    pulled: Floats,
    precision: Floats,
    clock: Floats,
) -> tuple[Floats, Floats]:
    """Return values and variances of the looks, verdicts replaced by what they are worth."""
    verdict = design.kind == VERDICT
    if not verdict.any():
        return design.worn, design.error
    r = evaluation.error[verdict]
    mean = design.worn[verdict] - r * pulled[verdict]
    own = effect.own_variance[design.life][verdict]
    variance = r - r**2 * precision[verdict] + (r * clock[verdict]) ** 2 * own
    variance = np.clip(variance, 1e-8, r * (1 - 1e-6))
    cavity_variance = 1 / np.maximum(1 / variance - 1 / r, 1e-6)
    cavity = cavity_variance * (mean / variance - design.worn[verdict] / r)
    site, site_variance = _site(cavity, cavity_variance, design.spent[verdict])
    worn, error = design.worn.copy(), design.error.copy()
    worn[verdict], error[verdict] = site, site_variance * design.trust[verdict]
    return worn, error


def _site(mean: Floats, variance: Floats, spent: np.ndarray) -> tuple[Floats, Floats]:
    """Return the normal look that a verdict is worth beside what else is known of the anode."""
    sign = np.where(spent, 1.0, -1.0)
    scale = np.sqrt(variance + VERDICT_ERROR**2)
    z = sign * (mean - 1.0) / scale
    ratio = np.sqrt(2 / np.pi) / erfcx(-z / np.sqrt(2))
    tilted = mean + sign * variance * ratio / scale
    variance_after = variance - variance**2 * ratio * (z + ratio) / scale**2
    site_variance = 1 / np.maximum(1 / variance_after - 1 / variance, 1 / SAYS_NOTHING)
    site = site_variance * (tilted / variance_after - mean / variance)
    return np.clip(site, -20.0, 20.0), site_variance


def settled(design: Design, trust: Trust, believed: Design, trusted: Trust) -> bool:
    """Tell whether another round would change anything that matters."""
    return bool(settled_hulls(design, trust, believed, trusted).all())


def settled_hulls(design: Design, trust: Trust, believed: Design, trusted: Trust) -> np.ndarray:
    """Tell of which hulls another round would change nothing that matters, shape (hulls,)."""
    hull = design.hull
    pairs = (
        (design.trust, believed.trust, hull[design.life]),
        (trust.anode, trusted.anode, hull),
        (trust.hull, trusted.hull, np.arange(trust.hull.size)),
        (design.error, believed.error, hull[design.life]),
        (1e-4 + design.jump, 1e-4 + believed.jump, hull[design.life]),
    )
    at_rest = np.ones(design.hulls, dtype=bool)
    for before, after, whose in pairs:
        at_rest[whose[np.abs(np.log(before / after)) >= SETTLED]] = False
    return at_rest
