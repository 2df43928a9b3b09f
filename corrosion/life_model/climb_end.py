"""Where a climb of a large fleet ended, and by what it is known that it would end there again.

One look more at a hull that is not in the sample (`hull_sample`) leaves all that the sample climbed
by as it was, and one look more of today all that the whole fleet did. Only the end is kept, some
hundred numbers, beside what it rests on: a digest for the sample, the looks themselves for all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from hashlib import blake2b
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from corrosion.common import Floats
from corrosion.exposure import Exposure, Lives
from corrosion.life_model.clock_terms import FLOODED, Terms
from corrosion.life_model.design import Crust, Design
from corrosion.life_model.kalman import Steps
from corrosion.life_model.packed_hours import PackedHours
from corrosion.life_model.priors import Spread

if TYPE_CHECKING:
    from corrosion.life_model.fitting import Fit

TELLING_DECIMALS = 6
"""Of hours and degree hours. The clocks of all hulls are one running sum, so that an hour more of
one hull moves the last digits of another's; a millionth of an hour is no other exposure."""
HOW_IT_ENDED = ["stop_h", "ended"]
WHERE_IT_STANDS = ["log_row"]


@dataclass(frozen=True)
class ClimbEnd:
    """Where a climb ended, with what more hulls or more looks need to go on from there.

    Attributes
    ----------
    params : ndarray, shape (p,); covariance : ndarray, shape (p, p)
    spreads : tuple of Spread, the parameters' names and priors
    flooded : bool, hours afloat act on engine circuits too
    crust : Crust or None; growth : float, as `Design` has them
    looks : int, how many looks climbed
    converged : bool; iterations : int, of the climb
    """

    params: Floats
    covariance: Floats
    spreads: tuple[Spread, ...]
    flooded: bool
    crust: Crust | None
    growth: float
    looks: int
    converged: bool
    iterations: int


def end_of(fit: Fit) -> ClimbEnd:
    """Return where a fit ended, without what it was fitted to."""
    design = fit.model.design
    acts = design.terms.groups[["circuit", "state"]].to_numpy(object)
    flooded = bool((acts == FLOODED).all(axis=1).any())
    ended = fit.results.mle_retvals
    return ClimbEnd(
        fit.results.params, fit.results.cov_params(), tuple(fit.model.spreads), flooded,
        design.crust, design.growth, design.worn.size, ended["converged"], ended["iterations"],
    )  # fmt: skip


@dataclass(frozen=True)
class Spoken:
    """What a climb of all hulls rested on.

    Attributes
    ----------
    lives : Lives
    hours : ndarray, shape (n, 3), of each look of `lives`, as `told_by_hours` tells them
    flooded : bool, of the design that they were told of
    """

    lives: Lives
    hours: Floats
    flooded: bool

    def holds(self, lives: Lives, hours: Floats) -> bool:
        """Whether lives, looks and hours are the same in all that a fit reads of them."""
        tables = (
            (lives.lives, self.lives.lives, HOW_IT_ENDED),
            (lives.looks, self.lives.looks, WHERE_IT_STANDS),
        )
        return hours.shape == self.hours.shape and bool(
            np.abs(hours - self.hours).max(initial=0.0) < 10.0**-TELLING_DECIMALS
            and all(
                now.drop(columns=aside).equals(then.drop(columns=aside))
                for now, then, aside in tables
            )
        )


def told_by_hours(design: Design) -> Floats:
    """Tell the hours behind each look by two sums of them, cells weighted unevenly, and its doubt.

    Parameters
    ----------
    design : Design of n looks

    Returns
    -------
    ndarray, shape (n, 3), in the order of the looks of `Lives`; another row where an hour in any
    cell is another one
    """
    cells = np.arange(1.0, design.hours.cells.shape[1] + 1.0)
    # irrational steps: an hour moved from one cell to others changes one sum or the other
    weights = 0.5 + np.modf(np.outer(cells, np.sqrt([2.0, 3.0])))[0]
    told = np.empty((design.worn.size, 3))
    told[design.steps.order, :2] = design.hours.times(weights)
    told[design.steps.order, 2] = design.unsure
    return told


def mark_of(design: Design, exposure: Exposure) -> str:
    """Return a digest of all that a fit of these looks rests on.

    Parameters
    ----------
    design : Design, with hours afloat acting on engine circuits too, which is all a fit may ask for
    exposure : Exposure, gives the names of the moorings

    Returns
    -------
    str, another one wherever a look, an hour, a place or a name is another one
    """
    digest = blake2b(digest_size=16)
    digest.update(repr(exposure.mooring_ids.tolist()).encode())
    for name, value in _said_by(design):
        digest.update(f"{name}:{getattr(value, 'shape', '')}:".encode())
        digest.update(_as_bytes(value))
    return digest.hexdigest()


def _said_by(part: Design | Terms | Steps | PackedHours) -> Iterator[tuple[str, Any]]:
    """Return what a part of a design holds, field by field, down to arrays, tables and numbers."""
    for each in fields(part):
        value = getattr(part, each.name)
        if isinstance(value, Terms | Steps | PackedHours):
            yield from _said_by(value)
        elif each.name == "cells":
            yield "hours", np.round(value.data, TELLING_DECIMALS)
            yield from (("columns", value.indices), ("rows", value.indptr), ("size", value.shape))
        else:
            yield each.name, value


def _as_bytes(value: Any) -> bytes:
    if isinstance(value, np.ndarray):
        return value.tobytes()
    return repr(value.to_dict("split") if isinstance(value, pd.DataFrame) else value).encode()
