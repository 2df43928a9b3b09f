"""Drafts: rows that are about to be written, and what has to be mended first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Self

import pandas as pd

AS_TYPED, ANSWERED = "as_typed", "answered"


@dataclass(frozen=True)
class Row:
    """One row for one log: its cells, those that are unknown left out."""

    log: str
    cells: Mapping[str, object]

    def but(self, **cells: object) -> Row:
        """Return the same row with other cells; None takes a cell out."""
        merged = {**self.cells, **cells}
        return Row(self.log, {name: cell for name, cell in merged.items() if cell is not None})


@dataclass(frozen=True)
class Draft:
    """What a form comes to.

    Attributes
    ----------
    rows : tuple of Row
        The rows to write, in that order; the first is what the form is about.
    wrong : tuple of str
        What must be mended before anything is written.
    asked : frozenset of str
        Questions that were answered already.
    twice : mapping of str to Timestamp
        Cells of the first row whose time came twice that day, with the second moment, UTC.
    """

    rows: tuple[Row, ...] = ()
    wrong: tuple[str, ...] = ()
    asked: frozenset[str] = frozenset()
    twice: Mapping[str, pd.Timestamp] = field(default_factory=dict)

    @property
    def main(self) -> Row:
        """The row that the form is about."""
        return self.rows[0]

    def with_main(self, **cells: object) -> Self:
        """Return the draft with other cells in its first row."""
        return replace(self, rows=(self.main.but(**cells), *self.rows[1:]))

    def and_row(self, row: Row) -> Self:
        """Return the draft with one row more."""
        return replace(self, rows=(*self.rows, row))

    def answered(self, name: str, said: str) -> Self:
        """Note in the row which question was answered, and how, for whoever reads it later."""
        done = replace(self, asked=self.asked | {name})
        if not done.rows:
            return done
        before = self.main.cells.get(ANSWERED)
        told = f"{name}: {said}"
        return done.with_main(**{ANSWERED: f"{before}; {told}" if before else told})
