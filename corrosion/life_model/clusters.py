"""The covariance of the rates with all that hulls share counted in.

The life model gives each hull one rate of its own. Its two circuits need not run together, and
with few hulls the spread between them is itself badly known and is estimated too small. For the
forecast of an anode that is looked at often this matters little; for a comparison of groups of
hulls it is most of the doubt. Here the spread between hulls, between the circuits of a hull and
between anodes is estimated again at the fitted rates, raised for the groups that the rates had to
tell apart, and the information of the looks is worked out under it (three nested rank-one updates).

Notes
-----
* The interval counts hulls, circuits of hulls, few hulls, and the model's own simplification
  (`life_model.clusters`): the spread between hulls is estimated again beside one between the
  circuits of a hull, raised for the groups that the rates tell apart (as REML does), the
  information of all looks is worked out under it (three nested rank-one updates), Student's t
  with hulls less groups, and 4 % for what the clocks simplify. A hull that moved is another hull
  after the move: otherwise one boat carries a whole comparison.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import optimize, stats

from corrosion.common import Codes, Floats
from corrosion.exposure import SPAN, hull_key
from corrosion.life_model.fitting import Fit
from corrosion.life_model.life import AnodeLife
from corrosion.life_model.likelihood import Evaluation
from corrosion.life_model.priors import SHAPE
from corrosion.life_model.surface import layout_of

CIRCUIT_SD = (float(np.log(0.1)), 0.7)
"""Prior of the log spread between the circuits of one hull: mean, standard deviation."""


@dataclass(frozen=True)
class Clustered:
    """Covariance of the fitted parameters, anodes clustered in circuits and hulls.

    Attributes
    ----------
    covariance : ndarray, shape (p, p)
    hull_sd, circuit_sd, anode_sd : float, spreads, share of the rate
    degrees : int, degrees of freedom of the spread between hulls
    """

    covariance: Floats
    hull_sd: float
    circuit_sd: float
    anode_sd: float
    degrees: int

    def reach(self, confidence: float = 0.95) -> float:
        """Return how many standard deviations an interval reaches (Student's t)."""
        return float(stats.t.ppf(0.5 + confidence / 2, self.degrees))


@dataclass(frozen=True)
class _Nest:
    """Anodes in circuits in hulls: the code of the circuit of each anode, of the hull of each
    circuit, and of the boat in the fleet that each hull is.
    """

    circuit: Codes
    hull: Codes
    boat: Codes

    def to_circuits(self, values: Floats) -> Floats:
        return _added(self.circuit, values, self.hull.size)

    def to_hulls(self, values: Floats) -> Floats:
        return _added(self.hull, values, self.boat.size)


def _added(code: Codes, values: Floats, size: int) -> Floats:
    table = np.zeros((size, *values.shape[1:]))
    np.add.at(table, code, values)
    return table


@dataclass(frozen=True)
class _Shrunk:
    """How much of each level's evidence is left once the level below has taken its share."""

    anode: Floats
    circuit: Floats
    hull: Floats
    by_circuit: Floats
    by_hull: Floats


def clustered(fit: Fit) -> Clustered:
    """Return the covariance of the parameters with hulls and their circuits counted in.

    Parameters
    ----------
    fit : Fit

    Returns
    -------
    Clustered
    """
    model, params = fit.model, fit.results.params
    evaluation, nest = model.evaluate(params), _nest(fit)
    looked = evaluation.track.clock_clock > 1e-9
    hulls = np.unique(model.design.hull[looked]).size
    groups = min(_groups(model), max(hulls - 1, 0))
    raised = np.sqrt(hulls / max(hulls - groups, 1)) if hulls else 1.0
    hull_sd, circuit_sd, anode_sd = _spreads(evaluation, nest)
    sds = (hull_sd * raised, circuit_sd * raised, anode_sd)
    covariance = np.asarray(np.linalg.inv(_information(model, params, nest, sds)), float)
    return Clustered(covariance, *sds, max(hulls - groups, 1))


def _groups(model: AnodeLife) -> int:
    """Return how many groups of hulls the rates tell apart: waters, and moorings that share one."""
    waters = int(model.design.terms.groups["water"].nunique())
    return waters + max(model.design.terms.shared_water.size - 1, 0)


def _nest(fit: Fit) -> _Nest:
    """Nest anodes; a hull that moved counts as another hull after the move.

    So one boat that went from one mooring to another does not carry the comparison of the two on
    its own back: whether its pace stayed the same is not known.
    """
    design, lives = fit.model.design, fit.lives.lives.iloc[fit.model.design.steps.lives]
    circuit = design.positions["circuit"].to_numpy(object)[design.position]
    stay = _stays(fit.exposure.berths, design.hull, lives["start_h"].to_numpy(float))
    hulls = pd.factorize(pd.MultiIndex.from_arrays([design.hull, stay]))[0]
    codes, groups = pd.factorize(pd.MultiIndex.from_arrays([hulls, circuit]))
    hull = np.array([pair[0] for pair in groups], dtype=np.intp)
    boat = np.zeros(hulls.max(initial=-1) + 1, dtype=np.intp)
    boat[hulls] = design.hull
    return _Nest(np.asarray(codes, dtype=np.intp), hull, boat)


def _stays(berths: pd.DataFrame, hull: Codes, start_h: Floats) -> Codes:
    """Return the mooring code of each life's hull when the life began, or at its first berth."""
    key = hull_key(berths["hull"].to_numpy(np.intp), berths["start_h"].to_numpy(float))
    last = np.searchsorted(key, hull_key(hull, start_h), side="right") - 1
    first = np.searchsorted(key, hull_key(hull, np.full(hull.size, -SPAN / 4)))
    if len(berths) == 0:
        return np.zeros(hull.size, dtype=np.intp)
    index = np.maximum(last, first).clip(0, len(berths) - 1)
    return np.asarray(berths["mooring"].to_numpy(np.intp)[index])


def _shrunk(
    evaluation: Evaluation, nest: _Nest, variances: tuple[Floats, float, Floats]
) -> _Shrunk:
    """Return the nested shares for variances of hulls, circuits and anodes."""
    of_hull, of_circuit, of_anode = variances
    a = evaluation.track.clock_clock
    anode = 1 / (1 + of_anode * a)
    by_circuit = nest.to_circuits(a * anode)
    circuit = 1 / (1 + of_circuit * by_circuit)
    by_hull = nest.to_hulls(by_circuit * circuit)
    return _Shrunk(anode, circuit, 1 / (1 + of_hull * by_hull), by_circuit, by_hull)


def _variances(
    evaluation: Evaluation, nest: _Nest, sds: tuple[float, float, float]
) -> tuple[Floats, float, Floats]:
    """Return variances of hulls, circuits and anodes, wider for those the fit does not trust."""
    rates = evaluation.rates
    hull = sds[0] ** 2 * evaluation.hull_variance[nest.boat] / rates.hull_sd**2
    return hull, sds[1] ** 2, sds[2] ** 2 * evaluation.anode_variance / rates.anode_sd**2


def _spreads(evaluation: Evaluation, nest: _Nest) -> tuple[float, float, float]:
    """Return the spreads of hulls, circuits and anodes at the top of their likelihood."""
    means = np.array([SHAPE[2].mean, CIRCUIT_SD[0], SHAPE[3].mean])
    sds = np.array([SHAPE[2].sd, CIRCUIT_SD[1], SHAPE[3].sd])
    b = evaluation.track.clock_residual

    def down(logs: Floats) -> float:
        hull, circuit, anode = np.exp(np.clip(logs, -12.0, 3.0))
        of_hull, of_circuit, of_anode = _variances(evaluation, nest, (hull, circuit, anode))
        left = _shrunk(evaluation, nest, (of_hull, of_circuit, of_anode))
        b_circuit = nest.to_circuits(b * left.anode)
        b_hull = nest.to_hulls(b_circuit * left.circuit)
        gain = (np.log(left.anode) + of_anode * b**2 * left.anode).sum()
        gain += (np.log(left.circuit) + of_circuit * b_circuit**2 * left.circuit).sum()
        gain += (np.log(left.hull) + of_hull * b_hull**2 * left.hull).sum()
        return float(-0.5 * gain + 0.5 * (((logs - means) / sds) ** 2).sum())

    top = optimize.minimize(
        down, means, method="Nelder-Mead", options={"xatol": 0.01, "fatol": 0.01}
    )
    hull, circuit, anode = (float(v) for v in np.exp(top.x))
    return hull, circuit, anode


def _information(
    model: AnodeLife, params: Floats, nest: _Nest, sds: tuple[float, float, float]
) -> Floats:
    """Return the information on the parameters, that on the rates under these spreads."""
    evaluation, steps = model.evaluate(params), model.design.steps
    info = model.information(params)
    rates = slice(0, layout_of(model.design).shape.start + 2)
    white = model.whitened_slopes(params)
    variances = _variances(evaluation, nest, sds)
    left = _shrunk(evaluation, nest, variances)
    unit = evaluation.track.clock / np.sqrt(evaluation.track.spread)
    along = _added(steps.life, white * unit[:, None], model.design.hull.size)
    by_circuit = nest.to_circuits(along * left.anode[:, None])
    by_hull = nest.to_hulls(by_circuit * left.circuit[:, None])
    taken = _squared(along, variances[2] * left.anode)
    taken += _squared(by_circuit, variances[1] * left.circuit)
    taken += _squared(by_hull, variances[0] * left.hull)
    prior = np.diag(1 / model.prior_sd[rates] ** 2)
    info[rates, rates] = prior + white.T @ white - taken
    return info


def _squared(along: Floats, weight: Floats) -> Floats:
    return np.asarray((along * weight[:, None]).T @ along)
