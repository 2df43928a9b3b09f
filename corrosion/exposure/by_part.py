"""Hours by state of a part of the fleet's hulls, worked out apart from the others.

Three things about a hull rest on other hulls: whether its mooring kept a flush log then, how often
its mooring leaves a return unflushed, and when the fleet's record begins. Each part says what it
knows of them, they are put together, and each part goes on with what all said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from corrosion.common import Floats, Remembered
from corrosion.exposure.flush_matching import (
    first_and_last_of_days,
    left_wet,
    log_kept,
    matched,
    unflushed_counts,
)
from corrosion.exposure.hours_by_state import (
    Exposure,
    Places,
    outings_at_berths,
    places,
    record_begins,
    summed_up,
)
from corrosion.records import Checked


@dataclass(frozen=True)
class PartPlaced:
    """A part's outings at their moorings, on the way to its hours.

    Attributes
    ----------
    checked : Checked, of the part's hulls
    where : Places
    outings : DataFrame, as `corrosion.exposure.flush_matching` leaves it so far
    written : ndarray, where and when the part wrote flush rows
    """

    checked: Checked
    where: Places
    outings: pd.DataFrame
    written: Floats

    @property
    def first_h(self) -> float:
        """Return when the part's first berth or outing began, hours since 1970."""
        return record_begins(self.checked, self.where, self.outings)


def place_part(checked: Checked, usual_share: float) -> PartPlaced:
    """Place a part's outings and match them with its flushes.

    Parameters
    ----------
    checked : Checked, of the part's hulls, with all moorings
    usual_share : float, engine hours in an hour of the fleet's middle outing

    Returns
    -------
    PartPlaced
    """
    where = places(checked)
    outings = outings_at_berths(checked, where, usual_share)
    return PartPlaced(checked, where, *matched(outings, checked.flushes, where.hull_ids))


def written_by_all(parts: Sequence[Floats]) -> Floats:
    """Put together where and when flush rows were written."""
    return first_and_last_of_days(np.sort(np.concatenate(parts)))


def keep_part(part: PartPlaced, written: Floats) -> tuple[PartPlaced, pd.DataFrame]:
    """Say for which outings a flush log was kept, and count returns left unflushed.

    Parameters
    ----------
    part : PartPlaced
    written : ndarray, by all

    Returns
    -------
    tuple of PartPlaced and DataFrame (`unflushed_counts`)
    """
    outings = log_kept(part.outings, written)
    return replace(part, outings=outings), unflushed_counts(outings)


def counts_of_all(parts: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """Add the counts of returns left unflushed up."""
    return pd.concat(parts).groupby(level=["mooring", "long"]).sum()


def sum_part(part: PartPlaced, counts: pd.DataFrame, first_h: float) -> Exposure:
    """Sum a part's hours up.

    Parameters
    ----------
    part : PartPlaced, with what was kept
    counts : DataFrame, of all
    first_h : float, hours since 1970, when the fleet's record begins

    Returns
    -------
    Exposure, of the part's hulls
    """
    outings = left_wet(part.outings, counts)
    return summed_up(part.checked, part.where, outings, first_h, Remembered())
