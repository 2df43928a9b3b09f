"""Lay lives, looks and hours out as the arrays that the life model is fitted to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.exposure import DRYING_GRID_H, Exposure, Hours, Lives
from corrosion.life_model.kalman import Steps, lay_out

FITTED_SIZE_MM = 0.06
"""How closely a new anode keeps to the size written for it (common practice, no source)."""
RANGE_EDGE = 0.05
"""Error of the edges of a by-eye range, share of the allowance (common practice, no source)."""
VERDICT_ERROR = 0.10
"""How far off the limit a look without a caliper can be, share of the allowance (common
practice: half gone by eye is good to 15 points)."""
WILDEST = (-1.0, 3.0)
"""Shares of the allowance beyond which a look is just wild: further off says nothing more."""
CALIPER, BY_EYE, VERDICT = 0, 1, 2
ACTS_ON = {"engine": ("running", "unflushed"), "hull": ("running", "afloat")}
"""The clocks that act on each circuit."""
FLOODED = ("engine", "afloat")
"""Passages of a hull afloat that stay flooded: a clock that is added where the looks ask for it."""


@dataclass(frozen=True)
class Terms:
    """Which cells of the exposure wear which circuit, and the names of the weights.

    Attributes
    ----------
    groups : DataFrame, one row a weight: circuit, state, water
    plain : ndarray of int, shape (c, 3): cell among the running and afloat ones, group, mooring
    drying : ndarray of int, shape (d, 3): cell among the unflushed ones, group, mooring
    shared_water : ndarray of int: codes of moorings that share their water with another
    """

    groups: pd.DataFrame
    plain: Codes
    drying: Codes
    shared_water: Codes


@dataclass(frozen=True)
class Columns:
    """Hours that wear an anode, one column a term, 0 where the term spares its circuit.

    Attributes
    ----------
    plain, plain_warm : ndarray, shape (n, c), hours, degree hours
    drying, drying_warm : ndarray, shape (n, d, len(DRYING_GRID_H)), effective hours
    """

    plain: Floats
    plain_warm: Floats
    drying: Floats
    drying_warm: Floats


def wearing_columns(terms: Terms, hours: Hours, engine: np.ndarray) -> Columns:
    """Pick the hours that act on each anode.

    Parameters
    ----------
    terms : Terms
    hours : Hours of shape (n, ...)
    engine : ndarray of bool, shape (n,), whether the anode is on an engine circuit

    Returns
    -------
    Columns
    """
    on_engine = (terms.groups["circuit"] == "engine").to_numpy(bool)
    plain = np.equal.outer(engine, on_engine[terms.plain[:, 1]])
    drying = np.equal.outer(engine, on_engine[terms.drying[:, 1]])[:, :, None]
    cell, wet = terms.plain[:, 0], terms.drying[:, 0]
    return Columns(
        hours.plain[:, cell] * plain,
        hours.plain_warm[:, cell] * plain,
        hours.drying[:, wet] * drying,
        hours.drying_warm[:, wet] * drying,
    )


@dataclass(frozen=True)
class Design:
    """Everything the likelihood needs; looks in step order, lives in place order.

    Attributes
    ----------
    steps : Steps
    terms : Terms
    positions : DataFrame, one row an anode position: layout, position, circuit, allowance_mm,
        loss_per_wear (size lost per depth of metal lost), anodes
    hulls : int, number of hull codes
    position, hull : ndarray of int, shape (k,), of each life
    start_worn, start_error : ndarray, shape (k,), share of the allowance; variance of the start
    start_caliper : ndarray, shape (k,), 1 / allowance_mm where the start was a caliper look, else 0
    worn : ndarray, shape (n,), what the look said, share of the allowance
    kind : ndarray of int, shape (n,), CALIPER, BY_EYE or VERDICT
    error : ndarray, shape (n,): 1 / allowance_mm for a caliper, else a variance of its own
    spent : ndarray of bool, shape (n,), verdict 'worn'
    trust : ndarray, shape (n,), 1, or less where a reading is doubtful or out of line
    unsure : ndarray, shape (n,), squared share by which the clock's gain since the look before is
        not known, where use was not written down; 0 where it was
    jump : ndarray, shape (n,), variance of a jump in wear just before the look, 0 where none shows
    columns : Columns of shape (n, ...), hours since the start of the life
    growth : float, how much faster a spent anode wears than a new one; looks are straightened by it
        (`corrosion.life_model.wear_acceleration`), so worn and its errors are even shares of a life
    """

    steps: Steps
    terms: Terms
    positions: pd.DataFrame
    hulls: int
    position: Codes
    hull: Codes
    start_worn: Floats
    start_error: Floats
    start_caliper: Floats
    worn: Floats
    kind: Codes
    error: Floats
    spent: np.ndarray
    trust: Floats
    jump: Floats
    unsure: Floats
    columns: Columns
    growth: float = 0.0

    @property
    def life(self) -> Codes:
        """Return the place of each look's life, shape (n,)."""
        return self.steps.life

    def with_looks(self, worn: Floats, error: Floats, trust: Floats, jump: Floats) -> Design:
        """Return the same design with other values, variances, trust and jumps of the looks."""
        return replace(self, worn=worn, error=error, trust=trust, jump=jump)


def find_terms(exposure: Exposure, circuits: list[str], flooded: bool = False) -> Terms:
    """Say which cell acts on which circuit with which weight.

    Parameters
    ----------
    exposure : Exposure
    circuits : list of str, the circuits that the fleet's positions have
    flooded : bool, let hours afloat act on engine circuits too

    Returns
    -------
    Terms
    """
    cells = exposure.cells.assign(
        mooring=exposure.mooring_ids.get_indexer(pd.Index(exposure.cells["mooring_id"])),
        cell=exposure.cells.groupby(exposure.cells["state"] == "unflushed").cumcount(),
    )
    acts = [(c, s) for c in circuits for s in ACTS_ON.get(c, ())]
    acts += [FLOODED] if flooded and "engine" in circuits else []
    table = pd.DataFrame(acts, columns=["circuit", "state"]).merge(cells, on="state")
    groups = table[["circuit", "state", "water"]].drop_duplicates().reset_index(drop=True)
    table["group"] = table.merge(
        groups.reset_index(), on=["circuit", "state", "water"], how="left"
    )["index"].to_numpy(np.intp)
    drying = table["state"] == "unflushed"
    columns = ["cell", "group", "mooring"]
    return Terms(
        groups,
        table.loc[~drying, columns].to_numpy(np.intp).reshape(-1, 3),
        table.loc[drying, columns].to_numpy(np.intp).reshape(-1, 3),
        _shared_water(exposure),
    )


def _shared_water(exposure: Exposure) -> Codes:
    """Return the moorings whose own water another mooring has too, where hulls live on both."""
    lived = np.sort(exposure.berths["mooring"].unique()).astype(np.intp)
    water = pd.Series(exposure.waters.to_numpy(object)[lived])
    return lived[water.duplicated(keep=False).to_numpy(bool) & water.notna().to_numpy(bool)]


def build_design(lives: Lives, exposure: Exposure, flooded: bool = False) -> Design:
    """Lay the fleet's lives out for the fit.

    Parameters
    ----------
    lives : Lives
    exposure : Exposure
    flooded : bool, let hours afloat act on engine circuits too

    Returns
    -------
    Design
    """
    table, looks = lives.lives, lives.looks
    steps = lay_out(looks["life"].to_numpy(np.intp), len(table))
    table, looks = table.iloc[steps.lives], looks.iloc[steps.order]
    positions = _positions(lives.lives)
    place = pd.MultiIndex.from_frame(positions[["layout", "position"]])
    hull = exposure.hull_ids.get_indexer(pd.Index(table["hull_id"]))
    terms = find_terms(exposure, sorted(positions["circuit"].unique()), flooded)
    engine = (table["circuit"] == "engine").to_numpy(bool)[steps.life]
    start_h = table["start_h"].to_numpy(float)[steps.life]
    hours = exposure.between(hull[steps.life], start_h, looks["at_h"].to_numpy(float))
    allowance = table["allowance_mm"].to_numpy(float)
    by_look = table["started"].isin(["first look", "change"]).to_numpy(bool)
    return Design(
        steps=steps,
        terms=terms,
        positions=positions,
        hulls=len(exposure.hull_ids),
        position=place.get_indexer(pd.MultiIndex.from_frame(table[["layout", "position"]])),
        hull=hull,
        start_worn=table["start_worn"].to_numpy(float),
        start_error=np.where(by_look, 0.0, (FITTED_SIZE_MM / allowance) ** 2),
        start_caliper=np.where(by_look, 1 / allowance, 0.0),
        columns=wearing_columns(terms, hours, engine),
        unsure=_unsure(exposure, steps, hull[steps.life], start_h, looks["at_h"].to_numpy(float)),
        **_looks(looks, allowance[steps.life]),  # type: ignore[arg-type]  # arrays, by name
    )


def _unsure(exposure: Exposure, steps: Steps, hull: Codes, start_h: Floats, at_h: Floats) -> Floats:
    """Return how far use between each look and the one before is a guess, as a squared share."""
    filling = exposure.filling
    if filling is None:
        return np.zeros(at_h.size)
    before = start_h.copy()
    for earlier, later in pairwise(steps.slices):
        before[later] = at_h[earlier][: later.stop - later.start]
    guessed = filling.engine_between(hull, before, at_h)
    running = (exposure.cells["state"] == "running").to_numpy(bool)
    all_h = exposure.between(hull, before, at_h).plain
    used = all_h[:, running[: all_h.shape[1]]].sum(axis=1)
    return np.asarray((filling.spread[hull] * guessed / np.maximum(used, 1e-6)) ** 2)


def _positions(lives: pd.DataFrame) -> pd.DataFrame:
    keys = ["layout", "position", "circuit", "allowance_mm"]
    table = lives.groupby(keys).size().rename("anodes").reset_index()
    gauge = lives.drop_duplicates(["layout", "position"])[["layout", "position", "gauge"]]
    table = table.merge(gauge, on=["layout", "position"])
    # a round anode loses diameter on both sides
    return table.assign(loss_per_wear=np.where(table["gauge"] == "diameter", 2.0, 1.0))


def _looks(looks: pd.DataFrame, allowance: Floats) -> dict[str, np.ndarray]:
    kind = (
        looks["kind"].map({"size": CALIPER, "range": BY_EYE, "verdict": VERDICT}).to_numpy(np.intp)
    )
    width = (looks["worn_high"] - looks["worn_low"]).abs().to_numpy(float)
    by_eye = width**2 / 12 + RANGE_EDGE**2
    # a verdict starts as a look that says next to nothing; the fit gives it its say
    own = np.select([kind == CALIPER, kind == BY_EYE], [1 / allowance, by_eye], default=1e3)
    return {
        "worn": np.where(kind == VERDICT, 0.5, looks["worn"].clip(*WILDEST).to_numpy(float)),
        "kind": kind,
        "error": own,
        "spent": looks["spent"].to_numpy(bool),
        "trust": np.where(looks["doubtful"].to_numpy(bool), 1 / 9, 1.0),
        "jump": np.zeros(kind.size),
    }


@dataclass(frozen=True)
class Drying:
    """Weights that interpolate the drying grid at a time constant, and their slope in its log."""

    weight: Floats
    slope: Floats


def drying_weights(log_tau: float) -> Drying:
    """Return the cubic weights over DRYING_GRID_H, shape (grid,), at a log time constant.

    Parameters
    ----------
    log_tau : float, log of the drying time constant in hours

    Returns
    -------
    Drying
    """
    knots = np.log(DRYING_GRID_H)
    low = int(np.clip(np.searchsorted(knots, log_tau) - 2, 0, knots.size - 4))
    near = knots[low : low + 4]
    weight, slope = np.zeros(knots.size), np.zeros(knots.size)
    for i in range(4):
        others = np.delete(near, i)
        away = log_tau - others
        scale = np.prod(near[i] - others)
        weight[low + i] = np.prod(away) / scale
        slope[low + i] = sum(np.prod(np.delete(away, j)) for j in range(3)) / scale
    return Drying(weight, slope)
