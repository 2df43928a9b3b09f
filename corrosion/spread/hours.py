"""The fleet's hours where each part's clocks lie with a worker: asked as if they were here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.exposure import DRYING_GRID_H, Exposure, Hours, places
from corrosion.records import Checked, part_of_hulls
from corrosion.spread import part as on_worker
from corrosion.spread.part import Parts
from corrosion.spread.workers import Handle, Workers

STATES = ("running", "afloat", "unflushed")
"""In the order in which an exposure has its cells."""


@dataclass(frozen=True, eq=False)
class SpreadExposure(Exposure):
    """An exposure whose clocks lie with workers.

    Attributes
    ----------
    workers : Workers
    parts : tuple of Handle, each part's exposure
    part : ndarray of int, shape (hulls,), the part of each hull code
    first : ndarray of int, shape (parts,), the code of each part's first hull
    columns : tuple of ndarray of int: of each part, the place of its cells among all, the plain
        cells and the drying ones counted apart
    """

    workers: Workers | None = None
    parts: tuple[Handle, ...] = ()
    part: Codes | None = None
    first: Codes | None = None
    columns: tuple[tuple[Codes, Codes], ...] = ()

    def logged(self, hull: Codes, at_h: Floats) -> Hours:
        """Return running totals, shape (n, ...), worked out by whoever has each hull."""
        assert self.workers is not None
        assert self.part is not None
        assert self.first is not None
        part = self.part[hull]
        rows = [np.flatnonzero(part == each) for each in range(len(self.parts))]
        asked = [each for each in range(len(self.parts)) if rows[each].size]
        answers = self.workers.bring_in(
            [
                self.workers.hand_out(
                    on_worker.hours_until, self.parts[each],
                    hull[rows[each]] - self.first[each], at_h[rows[each]],
                )
                for each in asked
            ]
        )  # fmt: skip
        drying = int((self.cells["state"] == "unflushed").sum())
        plain = len(self.cells) - drying
        shapes = [(plain,), (plain,), (drying, DRYING_GRID_H.size), (drying, DRYING_GRID_H.size)]
        whole = Hours(*(np.zeros((hull.size, *shape)) for shape in shapes))
        for each, answer in zip(asked, answers, strict=True):
            dry, wet = (np.ix_(rows[each], columns) for columns in self.columns[each])
            whole.plain[dry], whole.plain_warm[dry] = answer.plain, answer.plain_warm
            whole.drying[wet], whole.drying_warm[wet] = answer.drying, answer.drying_warm
        return whole


def gathered(
    workers: Workers, exposures: list[Handle], checked: Checked, parts: Parts
) -> SpreadExposure:
    """Put the parts' exposures together, their clocks left where they are.

    Parameters
    ----------
    workers : Workers
    exposures : list of Handle, one a part
    checked : Checked, of the whole fleet
    parts : Parts

    Returns
    -------
    SpreadExposure
        `outings` has hull, start_h, stop_h and engine_h alone.
    """
    where = places(checked)
    part = part_of_hulls(where.hull_ids.to_numpy(object), parts.firsts)
    first = np.searchsorted(part, np.arange(parts.count))
    outings = [
        workers.hand_out(on_worker.placed_outings_of, *each)
        for each in zip(exposures, first.tolist(), strict=True)
    ]
    own = workers.bring_in(workers.hand_out_each(on_worker.cells_of, exposures))
    cells = _all_cells(own, where.mooring_ids)
    (warmth,) = workers.bring_in([workers.hand_out(getattr, exposures[0], "temperature")])
    return SpreadExposure(
        where.hull_ids, where.mooring_ids, where.waters, (), cells,
        pd.concat(workers.bring_in(outings), ignore_index=True), where.berths, warmth,
        workers=workers, parts=tuple(exposures), part=part, first=first,
        columns=tuple(_columns(each, cells) for each in own),
    )  # fmt: skip


def _all_cells(parts: list[pd.DataFrame], mooring_ids: pd.Index) -> pd.DataFrame:
    """Return the cells that any part has, in the order in which one exposure would have them."""
    cells = pd.concat(parts).drop_duplicates()
    state = cells["state"].map(STATES.index)
    mooring = mooring_ids.get_indexer(pd.Index(cells["mooring_id"]))
    # what lies afloat goes by mooring, of which each has one water; the others by water first
    water = cells["water"].where(cells["state"] != "afloat", "")
    order = cells.assign(state_no=state, mooring=mooring, by_water=water)
    order = order.sort_values(["state_no", "by_water", "mooring"], kind="stable")
    return order[list(cells.columns)].reset_index(drop=True)


def _columns(own: pd.DataFrame, cells: pd.DataFrame) -> tuple[Codes, Codes]:
    """Return the place of a part's plain and drying cells among all of their kind."""
    wet, own_wet = cells["state"] == "unflushed", own["state"] == "unflushed"
    plain, drying = (
        pd.MultiIndex.from_frame(all_cells).get_indexer(pd.MultiIndex.from_frame(of_part))
        for all_cells, of_part in ((cells[~wet], own[~own_wet]), (cells[wet], own[own_wet]))
    )
    return plain, drying
