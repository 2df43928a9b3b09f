"""Wear an hour in every state and water, those that no hull of the fleet has lived among them.

Where all hulls of a lake are lifted, nothing tells what lying afloat in the lake would wear. What
the fleet's other waters show for that state is carried over, by the ratio that is usual between
waters, with a spread of its own: an extrapolation, and the interval says so.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.life_model import ACTS_ON, FLOODED, SURFACE_MM_PER_H, Fit, layout_of
from corrosion.records import CIRCUITS

BORROWED_SD = 0.5
"""Spread of the log of a weight that was carried over from other waters (common practice)."""
STATES = ("running", "unflushed", "afloat")
CELL = ["circuit", "state", "water"]


@dataclass(frozen=True)
class Weights:
    """Weights by circuit, state and water, as functions of one vector of parameters.

    The vector is that of the life model, with one number more for each borrowed weight.

    Attributes
    ----------
    cells : DataFrame with circuit, state, water, one row a weight; borrowed ones last
    borrowed : int, how many are carried over from other waters
    mean : ndarray, shape (p + borrowed,), parameters as fitted, zeros for the borrowed
    state : ndarray of int, place of each cell's state in STATES
    on_circuit : ndarray of bool, shape (2, cells), by CIRCUITS
    acts : ndarray of bool, shape (moorings, cells), the cells of each mooring's own water
    """

    fit: Fit
    cells: pd.DataFrame
    borrowed: int
    mean: Floats
    state: Codes
    on_circuit: np.ndarray
    acts: np.ndarray
    _shift: Floats
    _from: Floats

    @property
    def size(self) -> int:
        """Return the length of the life model's own vector."""
        return self.mean.size - self.borrowed

    def log_mm_per_h(self, params: Floats) -> Floats:
        """Return log mm of surface an hour, shape (len(cells),), at a vector of parameters."""
        own = params[layout_of(self.fit.model.design).weight]
        carried = self._shift + self._from @ own + params[self.size :]
        return np.concatenate([own, carried])

    def covariance(self, own: Floats) -> Floats:
        """Return the covariance of the vector, from that of the life model's own."""
        table = np.zeros((self.mean.size, self.mean.size))
        table[: self.size, : self.size] = own
        table[self.size :, self.size :] = BORROWED_SD**2 * np.eye(self.borrowed)
        return table


def weights(fit: Fit) -> Weights:
    """Return the fitted weights, and those that a mooring's water lacks, carried over.

    Parameters
    ----------
    fit : Fit

    Returns
    -------
    Weights
    """
    groups = fit.model.design.terms.groups[CELL].reset_index(drop=True)
    missing = _missing(groups, [str(w) for w in fit.exposure.waters.dropna().unique()])
    known = _usual(groups)
    shift, share = np.zeros(len(missing)), np.zeros((len(missing), len(groups)))
    for row, cell in enumerate(missing.itertuples()):
        alike = (groups["circuit"] == cell.circuit) & (groups["state"] == cell.state)
        alike = alike if alike.any() else groups["circuit"] == cell.circuit
        share[row] = alike / alike.sum()
        shift[row] = _usual(missing)[row] - share[row] @ known
    mean = np.concatenate([fit.results.params, np.zeros(len(missing))])
    cells = pd.concat([groups, missing], ignore_index=True)
    return Weights(
        fit,
        cells,
        len(missing),
        mean,
        cells["state"].map(STATES.index).to_numpy(np.intp),
        np.equal.outer(np.array(CIRCUITS, dtype=object), cells["circuit"].to_numpy(object)),
        np.equal.outer(fit.exposure.waters.to_numpy(object), cells["water"].to_numpy(object)),
        shift,
        share,
    )


def _missing(groups: pd.DataFrame, waters: list[str]) -> pd.DataFrame:
    """Return cells that act on a circuit of the fleet in a water of its moorings, but are new."""
    acts = [(c, s) for c in groups["circuit"].unique() for s in ACTS_ON.get(str(c), ())]
    flooded = (groups["circuit"] == FLOODED[0]) & (groups["state"] == FLOODED[1])
    acts += [FLOODED] if flooded.any() else []
    known = set(groups.itertuples(index=False, name=None))
    rows = [
        (circuit, state, water)
        for circuit, state in acts
        for water in waters
        if (circuit, state, water) in SURFACE_MM_PER_H and (circuit, state, water) not in known
    ]
    return pd.DataFrame(rows, columns=CELL)


def _usual(cells: pd.DataFrame) -> Floats:
    return np.log([SURFACE_MM_PER_H[cell] for cell in cells.itertuples(index=False, name=None)])
