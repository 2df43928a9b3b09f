"""Hours behind each look, packed: cells that hold any, and looks with the same hours only once.

An anode spends its life at a mooring or two and on one circuit, so most cells of a row are empty;
and all anodes of a hull that are looked at on one visit since one start have the same hours. The
climb multiplies these hours hundreds of times: packed, that costs a tenth.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy import sparse

from corrosion.common import Codes, Floats
from corrosion.life_model.clock_terms import Columns


@dataclass(frozen=True)
class PackedHours:
    """Hours of n looks.

    Attributes
    ----------
    cells : sparse array, shape (u, m), rows that differ: plain, plain_warm, drying, drying_warm of
        `Columns` side by side, the drying grid within each cell (`Terms.packed`)
    row : ndarray of int, shape (n,), which of the rows each look has
    """

    cells: sparse.csr_array
    row: Codes

    @cached_property
    def _turned(self) -> sparse.csr_array:
        return self.cells.T.tocsr()

    def times(self, weights: Floats) -> Floats:
        """Return the hours weighted and added up, shape (n,) for (m,), (n, q) for (m, q)."""
        return np.asarray((self.cells @ weights)[self.row])

    def summed(self, values: Floats) -> Floats:
        """Return the hours of each cell, looks weighted by values of shape (n,), shape (m,)."""
        by_row = np.bincount(self.row, values, minlength=self.cells.shape[0])
        return np.asarray(self._turned @ by_row)


def pack(columns: Columns, row: Codes | None = None) -> PackedHours:
    """Pack the hours of looks, or of any spans.

    Parameters
    ----------
    columns : Columns of shape (u, ...)
    row : ndarray of int, shape (n,), which of them each look has; None: each its own

    Returns
    -------
    PackedHours
    """
    rows = columns.plain.shape[0]
    parts = (columns.plain, columns.plain_warm, columns.drying, columns.drying_warm)
    flat = [part.reshape(rows, int(np.prod(part.shape[1:]))) for part in parts]
    cells = sparse.hstack([sparse.csr_array(part) for part in flat], "csr")
    return PackedHours(cells, np.arange(rows) if row is None else row)
