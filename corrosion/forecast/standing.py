"""What of a forecast stands hull by hull since the last one, and what is worked out anew.

While nothing is known otherwise of the hours, of what the fleet shares and of a hull's own looks,
what follows for that hull is what followed last time. Of thousands of hulls an entry touches one;
the two steps that cost the most are then taken for that one alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from corrosion.common import Codes, Floats, Marks
from corrosion.forecast.usage_forecast import Ahead
from corrosion.life_model import Fit, marks_of_hulls

LEAST_HULLS = 200
"""Hulls below which to find out what stands takes as long as to work all out."""


@dataclass(frozen=True)
class Part:
    """A result by row, and the hull of each row."""

    hull: Codes
    rows: Floats


@dataclass(frozen=True)
class Standing:
    """Results of one forecast, and by what it is known which of them still stand.

    Attributes
    ----------
    of_all : tuple, what all hulls share: hours, use ahead, parameters, how far ranges are widened
    marks : ndarray, shape (hulls,), as `corrosion.life_model.marks_of_hulls` gives them
    parts : dict of str to Part, results by name
    changed : ndarray of bool, shape (hulls,), whose results are worked out anew
    before : dict of str to Part, those of the last forecast
    """

    of_all: tuple[object, ...]
    marks: Marks
    parts: dict[str, Part]
    changed: np.ndarray
    before: dict[str, Part]

    def result(self, name: str, hull: Codes, make: Callable[[np.ndarray], Floats]) -> Floats:
        """Return a result, worked out for the hulls that changed and taken over for the others.

        Parameters
        ----------
        name : str
        hull : ndarray of int, shape (n,), hull code of each row
        make : callable
            Takes which hulls are asked for, shape (hulls,), returns their rows in the order of
            `hull`.

        Returns
        -------
        ndarray, shape (n, ...)
        """
        known, anew = self.before.get(name), self.changed[hull]
        kept = np.zeros(0, dtype=bool) if known is None else ~self.changed[known.hull]
        if known is None or not np.array_equal(known.hull[kept], hull[~anew]):
            rows = make(np.ones(self.changed.size, dtype=bool))
        elif not anew.any():
            rows = known.rows
        else:
            fresh = make(self.changed)
            rows = np.empty((hull.size, *fresh.shape[1:]))
            rows[anew], rows[~anew] = fresh, known.rows[kept]
        self.parts[name] = Part(hull, rows)
        return rows


def what_stands(fit: Fit, ahead: Ahead, before: Standing | None) -> Standing:
    """Say of which hulls the last results still stand.

    Parameters
    ----------
    fit : Fit
    ahead : Ahead
    before : Standing or None, of the last forecast

    Returns
    -------
    Standing, its `parts` empty
    """
    hulls = fit.model.design.hulls
    if hulls < LEAST_HULLS:
        return Standing((), np.zeros(hulls, dtype=np.uint64), {}, np.ones(hulls, dtype=bool), {})
    results = fit.results
    shared = (fit.exposure, ahead, fit.widen, results.params.tobytes())
    of_all = (*shared, results.cov_params().tobytes(), fit.model.design.growth)
    marks = marks_of_hulls(fit)
    if before is None or before.of_all != of_all:
        return Standing(of_all, marks, {}, np.ones(hulls, dtype=bool), {})
    return Standing(of_all, marks, {}, marks != before.marks, before.parts)
