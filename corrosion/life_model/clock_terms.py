"""Which hours wear which anode: by circuit, state and water, mooring, and what it is made of.

Notes
-----
* The alloy that was fitted counts. An anode of another alloy than its position is listed with has
  a factor on its wear in each water, a parameter with a prior from capacity and potential
  (`priors`), which all anodes of that alloy at such positions share. A fleet that fits what is
  listed has no such parameter, and the same answers as without.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.exposure import DRYING_GRID_H, Exposure, Hours

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
    plain : ndarray of int, shape (c, 4): cell among the running and afloat ones, group, mooring,
        alloy (0: the one that is listed for the position; else 1 + row of `alloys`)
    drying : ndarray of int, shape (d, 4): the same of the unflushed cells
    shared_water : ndarray of int: codes of moorings that share their water with another
    alloys : DataFrame, one row an alloy fitted where another is listed, and water: pair (its
        code in `Design.alloy`), fitted, listed, water
    """

    groups: pd.DataFrame
    plain: Codes
    drying: Codes
    shared_water: Codes
    alloys: pd.DataFrame

    @cached_property
    def packed(self) -> Codes:
        """Return group, mooring, alloy of each cell of packed hours, shape (m, 3)."""
        plain = self.plain[:, 1:]
        drying = np.repeat(self.drying[:, 1:], DRYING_GRID_H.size, axis=0)
        return np.concatenate([plain, plain, drying, drying])


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


def wearing_columns(
    terms: Terms, hours: Hours, engine: np.ndarray, alloy: Codes | int = 0
) -> Columns:
    """Pick the hours that act on each anode, by what it is made of.

    Parameters
    ----------
    terms : Terms
    hours : Hours of shape (n, ...)
    engine : ndarray of bool, shape (n,), whether the anode is on an engine circuit
    alloy : ndarray of int, shape (n,), as `Design.alloy`; 0 for anodes as they are listed

    Returns
    -------
    Columns
    """
    on_engine = (terms.groups["circuit"] == "engine").to_numpy(bool)
    pair = np.concatenate([[0], terms.alloys["pair"].to_numpy(np.intp)])
    made_of = np.broadcast_to(np.asarray(alloy, dtype=np.intp), engine.shape)

    def acting(term: Codes) -> np.ndarray:
        of_circuit = np.equal.outer(engine, on_engine[term[:, 1]])
        return np.asarray(of_circuit & np.equal.outer(made_of, pair[term[:, 3]]))

    plain, drying = acting(terms.plain), acting(terms.drying)[:, :, None]
    cell, wet = terms.plain[:, 0], terms.drying[:, 0]
    return Columns(
        hours.plain[:, cell] * plain,
        hours.plain_warm[:, cell] * plain,
        hours.drying[:, wet] * drying,
        hours.drying_warm[:, wet] * drying,
    )


def acting_cells(terms: Terms, on_engine: bool, alloy: int) -> np.ndarray:
    """Tell which cells of packed hours wear an anode of some kind.

    Parameters
    ----------
    terms : Terms
    on_engine : bool, whether the anode is on an engine circuit
    alloy : int, as `Design.alloy`; 0 for an anode as it is listed

    Returns
    -------
    ndarray of bool, shape (m,)
    """
    engine = (terms.groups["circuit"] == "engine").to_numpy(bool)
    pair = np.concatenate([[0], terms.alloys["pair"].to_numpy(np.intp)])
    group, _, made_of = terms.packed.T
    return np.asarray((engine[group] == on_engine) & (pair[made_of] == alloy))


def find_terms(
    exposure: Exposure, circuits: list[str], pairs: pd.DataFrame, flooded: bool = False
) -> Terms:
    """Say which cell acts on which circuit with which weight.

    Parameters
    ----------
    exposure : Exposure
    circuits : list of str, the circuits that the fleet's positions have
    pairs : DataFrame with pair, fitted, listed: alloys fitted where another is listed
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
    alloys = pairs.merge(groups[["water"]].drop_duplicates(), how="cross")
    effects = alloys.assign(alloy=np.arange(1, len(alloys) + 1))[["alloy", "water"]]
    table = pd.concat([table.assign(alloy=0), table.merge(effects, on="water")])
    drying = table["state"] == "unflushed"
    columns = ["cell", "group", "mooring", "alloy"]
    return Terms(
        groups,
        table.loc[~drying, columns].to_numpy(np.intp).reshape(-1, 4),
        table.loc[drying, columns].to_numpy(np.intp).reshape(-1, 4),
        _shared_water(exposure),
        alloys,
    )


def alloy_pairs(lives: pd.DataFrame) -> tuple[pd.DataFrame, Codes]:
    """Return the alloys fitted where another is listed, and each life's code, 0 where none is."""
    known = lives["alloy"].notna() & lives["alloy_listed"].notna()
    other = known & (lives["alloy"] != lives["alloy_listed"])
    named = lives["alloy"].astype(str) + " for " + lives["alloy_listed"].astype(str)
    names = sorted(named[other].unique())
    code = np.where(other, pd.Index(names).get_indexer(pd.Index(named)) + 1, 0).astype(np.intp)
    rows = [(number + 1, *name.split(" for ")) for number, name in enumerate(names)]
    return pd.DataFrame(rows, columns=["pair", "fitted", "listed"]), code


def _shared_water(exposure: Exposure) -> Codes:
    """Return the moorings whose own water another mooring has too, where hulls live on both."""
    lived = np.sort(exposure.berths["mooring"].unique()).astype(np.intp)
    water = pd.Series(exposure.waters.to_numpy(object)[lived])
    return lived[water.duplicated(keep=False).to_numpy(bool) & water.notna().to_numpy(bool)]
