"""The form of the answer: a verdict, its interval, and the rates behind them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from corrosion.comparison.flushing.estimand import Span
from corrosion.comparison.flushing.within import Rated, Within


@dataclass(frozen=True)
class Believed:
    """The most likely rates, and those at the low and the high end of the share saved."""

    middle: Rated
    low: Rated
    high: Rated


@dataclass(frozen=True)
class Verdict:
    """What the logs say of flushing.

    Attributes
    ----------
    verdict : 'saves', 'no-difference-seen' or 'cannot-tell'
    share_saved, low, high : float or None
        Of the engine-circuit wear in salt and brackish water over the last 365 days, the share
        that flushing within an hour of each day's last return would have avoided, on top of the
        flushes that were done, on every hull, whether a hose could reach it or not; 95 % ends.
    raw : float or None
        How much less hulls that are flushed often wore per engine hour, nothing held equal.
    hulls, outings : int, behind the answer
    note : str, what the answer rests on and what it does not
    p : float or None, chance of as clear a difference where flushing does nothing
    span : Span, what was asked about
    readings : DataFrame, one row a reading of the flush log: reading, share, low, high, plausible
    by_hull : DataFrame of `hull_table`
    within : Within or None, the same hulls' own weeks
    believed : Believed or None, the rates behind the share and behind its ends
    """

    verdict: str
    share_saved: float | None
    low: float | None
    high: float | None
    raw: float | None
    hulls: int
    outings: int
    note: str
    p: float | None
    span: Span
    readings: pd.DataFrame
    by_hull: pd.DataFrame
    within: Within | None = field(default=None, repr=False)
    believed: Believed | None = field(default=None, repr=False)

    def as_object(self) -> Mapping[str, object]:
        """Return the answer as plain names and numbers."""
        counts = self.by_hull.select_dtypes("int").sum()
        return {
            "verdict": self.verdict,
            "share_saved": self.share_saved,
            "low": self.low,
            "high": self.high,
            "raw": self.raw,
            "hulls": self.hulls,
            "outings": self.outings,
            "note": self.note,
            "p": self.p,
            "within_hulls": self.within.share if self.within else None,
            "within_hulls_low": self.within.low if self.within else None,
            "within_hulls_high": self.within.high if self.within else None,
            **{str(name): int(n) for name, n in counts.items()},
            "readings": self.readings.to_dict("records"),
        }
