"""Hours between starts and looks that were summed before: a look more asks for one span more."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from corrosion.common import Codes, Floats, Marks, are_same, marks_of_rows, rows_that_differ
from corrosion.exposure import Exposure
from corrosion.life_model.clock_terms import Terms, wearing_columns
from corrosion.life_model.packed_hours import PackedHours, pack

MOST_UNUSED = 0.05
"""Share of known spans that no look asks for any more, from which on they are let go."""


@dataclass(frozen=True, eq=False)
class Spans:
    """Spans of n looks: start to look, of one hull, circuit and alloy; shape (n,) each."""

    hull: Codes
    engine: np.ndarray
    alloy: Codes
    start_h: Floats
    at_h: Floats

    def columns(self) -> tuple[np.ndarray, ...]:
        """Return what tells a span from others."""
        return self.start_h, self.at_h, self.hull * 2 + self.engine, self.alloy

    def rows(self, index: np.ndarray) -> Spans:
        """Return chosen spans."""
        return Spans(*(part[index] for part in self.parts()))

    def parts(self) -> tuple[np.ndarray, ...]:
        """Return the columns, to be taken apart by rows."""
        return self.hull, self.engine, self.alloy, self.start_h, self.at_h


@dataclass(frozen=True, eq=False)
class KnownSpans:
    """Spans whose hours are packed, row by row of `cells`, and where to find them.

    Attributes
    ----------
    of : tuple, the exposure that they were asked of, and by which terms
    spans : Spans of m
    cells : sparse array, shape (m, cells)
    marks : ndarray, shape (m,), ascending; order : ndarray of int, shape (m,), whose they are
    """

    of: tuple[object, ...]
    spans: Spans
    cells: sparse.csr_array
    marks: Marks
    order: Codes

    def find(self, spans: Spans) -> Codes:
        """Return the row of each span, -1 where it is not known."""
        place = np.searchsorted(self.marks, marks_of_rows(*spans.columns())).clip(
            max=self.marks.size - 1
        )
        row = self.order[place]
        pairs = zip(self.spans.rows(row).columns(), spans.columns(), strict=True)
        return np.where(np.logical_and.reduce([there == asked for there, asked in pairs]), row, -1)


def pack_spans(
    exposure: Exposure, terms: Terms, spans: Spans, known: KnownSpans | None
) -> tuple[PackedHours, KnownSpans]:
    """Pack the hours of looks, those that are known taken over.

    Parameters
    ----------
    exposure : Exposure
    terms : Terms
    spans : Spans of n looks
    known : KnownSpans or None, of the last time

    Returns
    -------
    packed : PackedHours of n looks
    known : KnownSpans, for the next time
    """
    of = exposure, _said_by(terms)
    if known is None or not are_same(known.of, of) or not known.marks.size:
        return _packed(of, exposure, terms, spans)
    row = known.find(spans)
    fresh = np.flatnonzero(row < 0)
    if fresh.size:
        new, added = _packed(of, exposure, terms, spans.rows(fresh))
        row[fresh] = new.row + known.cells.shape[0]
        known = _known(
            of,
            Spans(*map(np.concatenate, zip(known.spans.parts(), added.spans.parts(), strict=True))),
            sparse.vstack([known.cells, new.cells], "csr"),
        )
    used = np.bincount(row, minlength=known.cells.shape[0]) > 0
    if used.mean() < 1 - MOST_UNUSED:
        known = _known(of, known.spans.rows(used), known.cells[used])
        row = (np.cumsum(used) - 1)[row]
    return PackedHours(known.cells, row), known


def _packed(
    of: tuple[object, ...], exposure: Exposure, terms: Terms, spans: Spans
) -> tuple[PackedHours, KnownSpans]:
    """Pack the hours of spans that differ in anything."""
    first, row = rows_that_differ(*spans.columns())
    each = spans.rows(first)
    hours = exposure.between(each.hull, each.start_h, each.at_h)
    packed = pack(wearing_columns(terms, hours, each.engine, each.alloy), row)
    return packed, _known(of, each, packed.cells)


def _known(of: tuple[object, ...], spans: Spans, cells: sparse.csr_array) -> KnownSpans:
    marks = marks_of_rows(*spans.columns())
    order = np.argsort(marks, kind="stable")
    return KnownSpans(of, spans, cells, marks[order], order)


def _said_by(terms: Terms) -> tuple[object, ...]:
    tables = (table.to_dict("split") for table in (terms.groups, terms.alloys))
    return *map(repr, tables), *(each.tobytes() for each in (terms.plain, terms.drying))
