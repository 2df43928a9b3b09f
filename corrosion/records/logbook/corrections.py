"""Corrections: which rows of a log stand, where later rows correct or strike out earlier ones.

A row is never rewritten. A row whose `corrects` names an earlier `entry_id` takes its place; a row
with `void` is struck out, and one with both strikes out the row that it names. Rows linked so are
one matter, and one of them at most stands: of those that nothing corrects and that are not void,
the one entered last.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import one_cell

STANDS, CORRECTED, VOIDED = "stands", "corrected", "voided"


@dataclass(frozen=True)
class Standing:
    """What became of each row of a log, n rows.

    Attributes
    ----------
    words : object array, shape (n,)
        `stands`, `corrected` or `voided`.
    odd : dict of str to list of int
        Rule (`corrects-unknown`, `corrects-in-circle`, `entry-id-twice`, `corrected-twice`) to
        the positions of the rows it is about.
    """

    words: npt.NDArray[np.object_]
    odd: dict[str, list[int]] = field(default_factory=dict)


def standing(rows: pd.DataFrame) -> Standing:
    """Say which rows stand.

    Parameters
    ----------
    rows : DataFrame, n rows
        One log in its settled order, with `entry_id`, `entered_at`, `corrects` and `void`.

    Returns
    -------
    Standing
        Nothing is lost: a correction of a row that is not there, or of itself around a circle,
        stands as a row of its own.
    """
    void = rows["void"].fillna(False).to_numpy(bool)
    linked = rows["corrects"].notna().to_numpy()
    if not linked.any() and not void.any():
        return Standing(one_cell(np.array([STANDS], dtype=object), len(rows)).to_numpy())
    words = np.full(len(rows), STANDS, dtype=object)
    words[void] = VOIDED
    if not linked.any():
        return Standing(words)
    ids, corrects = rows["entry_id"], rows["corrects"]
    taken = linked | ids.isin(corrects[linked]).to_numpy()
    matters = _Matters(ids, corrects, rows["entered_at"], void, np.flatnonzero(taken))
    for matter in matters.groups():
        for row in matter:
            words[row] = matters.word(row)
    return Standing(words, {rule: sorted(numbers) for rule, numbers in matters.odd.items()})


class _Matters:
    """The rows that corrections link, as a forest of entries; rows of one entry stay together."""

    def __init__(
        self,
        ids: pd.Series[str],
        corrects: pd.Series[str],
        entered: pd.Series[pd.Timestamp],
        void: npt.NDArray[np.bool_],
        taken: npt.NDArray[np.int64],
    ) -> None:
        self.void = void
        self.entered = dict(zip(taken, entered.iloc[taken].astype("int64"), strict=True))
        self.rows: defaultdict[object, list[int]] = defaultdict(list)
        self.odd: defaultdict[str, list[int]] = defaultdict(list)
        named = dict(zip(taken, ids.iloc[taken], strict=True))
        for row, name in named.items():
            self.rows[("row", row) if name is None else name].append(int(row))
        self.entry = {row: entry for entry, rows in self.rows.items() for row in rows}
        self.parent = self._parents(dict(zip(taken, corrects.iloc[taken], strict=True)))
        self._break_circles()
        self.corrected = set(self.parent.values())
        self.standing: set[int] = set()
        self.struck: set[int] = set()

    def _parents(self, corrects: dict[int, str | None]) -> dict[object, object]:
        parent: dict[object, object] = {}
        for row, target in corrects.items():
            if target is None:
                continue
            if target in self.rows:
                parent[self.entry[row]] = target
            else:
                self.odd["corrects-unknown"].append(int(row))
        return parent

    def _break_circles(self) -> None:
        """An entry that corrects itself, at once or around others, corrects nothing."""
        done: set[object] = set()
        for start in list(self.parent):
            path: list[object] = []
            entry: object = start
            while entry in self.parent and entry not in done:
                done.add(entry)
                path.append(entry)
                entry = self.parent[entry]
            for member in path[path.index(entry) :] if entry in path else []:
                del self.parent[member]
                self.odd["corrects-in-circle"] += self.rows[member]

    def groups(self) -> Iterator[list[int]]:
        """Rows of each matter, its standing row decided."""
        members: defaultdict[object, list[object]] = defaultdict(list)
        for entry in self.rows:
            members[self._root(entry)].append(entry)
        for entries in members.values():
            self._decide(entries)
            yield [row for entry in entries for row in self.rows[entry]]

    def _root(self, entry: object) -> object:
        trail = []
        while entry in self.parent:
            trail.append(entry)
            entry = self.parent[entry]
        for passed in trail:  # the next look from here is one step
            self.parent[passed] = entry
        return entry

    def _decide(self, entries: list[object]) -> None:
        for entry in entries:
            if len(self.rows[entry]) > 1:
                self.odd["entry-id-twice"] += self.rows[entry]
        last = [entry for entry in entries if entry not in self.corrected]
        if len(last) > 1:
            self.odd["corrected-twice"] += [row for entry in last for row in self.rows[entry]]
        alive = [row for entry in last for row in self.rows[entry] if not self.void[row]]
        if not alive:
            self.struck |= {row for entry in entries for row in self.rows[entry]}
            return
        newest = max(alive, key=lambda row: (self.entered[row], row))
        entry = self.entry[newest]
        self.standing |= {row for row in self.rows[entry] if not self.void[row]}

    def word(self, row: int) -> str:
        """What became of one row, once its matter is decided."""
        if row in self.standing:
            return STANDS
        return VOIDED if self.void[row] or row in self.struck else CORRECTED
