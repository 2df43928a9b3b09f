"""What was worked out last, kept for as long as what it was worked out from is the same.

Notes
-----
* A result is known by a name and by what went into it. Tables and arrays count as the same only
  if they are the very same object, never because they look alike; moments, texts and numbers if
  they are equal. So a result handed on is the one that working it out again would give, as far as
  the step is a function of its inputs: steps here are, and `tests/unit/forecast/test_remembered.py`
  holds warm answers to cold ones over random entries.
* It holds one generation: `turned` forgets what the last run did not use, on the way to a result
  that stood either. It lives in the memory of one process and is never written to disk.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Lock
from typing import TypeVar

import numpy as np
import pandas as pd

Result = TypeVar("Result")
BY_IDENTITY = (pd.DataFrame, pd.Series, pd.Index, np.ndarray)


@dataclass(frozen=True)
class _Known:
    """A result, what it was worked out from, and the names of the steps on the way to it."""

    inputs: object
    result: object
    steps: tuple[Hashable, ...] = ()


class Remembered:
    """Results of the last run by name, beside what each was worked out from."""

    def __init__(self) -> None:
        """Know nothing yet."""
        self._last: dict[Hashable, _Known] = {}
        self._now: dict[Hashable, _Known] = {}
        self._asked: list[Hashable] = []
        self._busy = Lock()

    def of(self, name: Hashable, inputs: tuple[object, ...], make: Callable[[], Result]) -> Result:
        """Return what `make` gives, without asking it where it was asked of the same inputs.

        Parameters
        ----------
        name : hashable, one for each result of a run
        inputs : tuple, everything that `make` looks at
        make : callable, no arguments
        """
        return self.where(name, lambda known: are_same(known, inputs), lambda: (inputs, make()))

    def where(
        self,
        name: Hashable,
        holds: Callable[[object], bool],
        make: Callable[[], tuple[object, Result]],
    ) -> Result:
        """Return the last result where what went into it still `holds`, else what `make` gives.

        The last is this run's, where it was asked for before, or that of the run before.

        Parameters
        ----------
        name : hashable, one for each result of a run
        holds : callable, takes what the last result was worked out from
        make : callable, returns what went in and the result
        """
        for known in (self._now.get(name), self._last.get(name)):
            if known is not None and holds(known.inputs):
                self._keep(known.steps)
                break
        else:
            before = len(self._asked)
            inputs, made = make()
            known = _Known(inputs, made, tuple(self._asked[before:]))
            del self._asked[before:]
        self._asked.append(name)
        self._now[name] = known
        result: Result = known.result  # type: ignore[assignment]  # a name stands for one kind
        return result

    def _keep(self, steps: tuple[Hashable, ...]) -> None:
        """Keep the steps on the way to a result too: the next run may need one of them again."""
        for step in steps:
            if step not in self._now and step in self._last:
                self._now[step] = known = self._last[step]
                self._keep(known.steps)

    def onward(self, name: Hashable, make: Callable[[Result | None], Result]) -> Result:
        """Return what `make` gives, which is handed the result of the last run, None without one.

        Parameters
        ----------
        name : hashable, one for each result of a run
        make : callable, takes the last result and judges itself what of it still stands
        """
        before: Result | None = self._last[name].result if name in self._last else None  # type: ignore[assignment]
        made = make(before)
        self._now[name] = _Known((), made)
        self._asked.append(name)
        return made

    def alike(self, name: Hashable, table: pd.DataFrame) -> pd.DataFrame:
        """Return the table of the last run where this one says the same, so that it counts as it.

        Parameters
        ----------
        name : hashable, one for each table of a run
        table : DataFrame, worked out anew; short, since it is compared cell by cell
        """
        last = self._last[name].result if name in self._last else None
        kept = last if isinstance(last, pd.DataFrame) and last.equals(table) else table
        self._now[name] = _Known((), kept)
        self._asked.append(name)
        return kept

    @contextmanager
    def turned(self) -> Iterator[Remembered]:
        """Run once more; what this run does not use is forgotten at its end.

        Who comes while another run is under way works everything out alone. After a run that was
        refused halfway, what was kept before it stays.
        """
        if not self._busy.acquire(blocking=False):
            yield Remembered()
            return
        try:
            self._now, self._asked = {}, []
            yield self
            self._last, self._now = self._now, {}
        finally:
            self._busy.release()


def are_same(known: object, now: object) -> bool:
    """Whether two inputs are the same: tables by identity, tuples part by part, others by value."""
    if known is now:
        return True
    if isinstance(known, tuple) and isinstance(now, tuple):
        return len(known) == len(now) and all(map(are_same, known, now))
    if isinstance(known, BY_IDENTITY) or isinstance(now, BY_IDENTITY):
        return False
    return bool(known == now)
