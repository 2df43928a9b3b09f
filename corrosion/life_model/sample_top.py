"""Where the climb of a fleet's sample ended, and by what it is known that it would end there again.

One look more at a hull that is not in the sample (`hull_sample`) leaves all that the sample climbed
by as it was. Only its end is kept, some hundred numbers, beside a digest of what it rests on.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from hashlib import blake2b
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from corrosion.common import Floats
from corrosion.exposure import Exposure
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


@dataclass(frozen=True)
class SampleTop:
    """Where the sample's climb ended, with what all hulls need to climb on from there.

    Attributes
    ----------
    params : ndarray, shape (p,); covariance : ndarray, shape (p, p)
    spreads : tuple of Spread, the parameters' names and priors
    flooded : bool, hours afloat act on engine circuits too
    crust : Crust or None; growth : float, as `Design` has them
    looks : int, how many looks the sample has
    """

    params: Floats
    covariance: Floats
    spreads: tuple[Spread, ...]
    flooded: bool
    crust: Crust | None
    growth: float
    looks: int


def top_of(fit: Fit) -> SampleTop:
    """Return where a fit ended, without what it was fitted to."""
    design = fit.model.design
    acts = design.terms.groups[["circuit", "state"]].to_numpy(object)
    flooded = bool((acts == FLOODED).all(axis=1).any())
    return SampleTop(
        fit.results.params, fit.results.cov_params(), tuple(fit.model.spreads), flooded,
        design.crust, design.growth, design.worn.size,
    )  # fmt: skip


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
