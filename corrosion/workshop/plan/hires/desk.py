"""What the hire desk can do for a plan: which hull can be freed when, at what cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.forecast import STOP_LIKELY, STOP_UNPROTECTED, Appraisal
from corrosion.workshop.plan.cases import Case, Flags
from corrosion.workshop.plan.hires.book import HireBook, read_book
from corrosion.workshop.plan.hires.releasing import (
    STEP_H,
    Releases,
    free_a_window,
    price_releases,
    stopped_until,
)
from corrosion.workshop.plan.horizon import Horizon
from corrosion.workshop.plan.prospects import Prospects
from corrosion.workshop.plan.yard import Yard

LOOK_MAY_CLEAR = (STOP_LIKELY, STOP_UNPROTECTED)
"""Reasons that a look may take away; an alloy, or a look past the limit, wants a change."""
POINTLESS = 0.9
"""Chance of being past the limit from which on nobody looks before the change."""
LATENESS_DAYS = 14.0


@dataclass(frozen=True)
class Stop:
    """What stops a hull: reasons, reasons by position, whether a look comes first, and in words.

    `passes`: the chance that a look clears it.
    """

    reasons: tuple[str, ...]
    positions: dict[str, tuple[str, ...]]
    look_first: bool
    why: str
    passes: float = 0.0

    def lifted_by(self, names: Sequence[str], replace: Flags, measured: Flags) -> Flags:
        """Return which choices deal with every anode that stops the hull, shape (s,).

        Parameters
        ----------
        names : positions of the hull's k anodes
        replace, measured : bool ndarray, shape (s, k), what each choice replaces and measures
        """
        if not self.positions:
            return np.asarray(replace.any(axis=1))
        lifts = np.ones(len(replace), dtype=bool)
        for k, name in enumerate(names):
            if name in self.positions:
                seen = measured[:, k] & (set(self.positions[name]) == {STOP_UNPROTECTED})
                lifts &= replace[:, k] | seen
        return lifts


@dataclass(frozen=True)
class Desk:
    """Hires, stops and the bays' hours, asked by row of the plan's hulls.

    Attributes
    ----------
    horizon : Horizon
    yard : Yard
    book : HireBook
    releases : Releases
    hull : ndarray of int, shape (i,), place in the book of each hull of the plan
    stops : mapping of hull_id to Stop
    spare : mapping of (kind, day of the horizon) to hulls that can take a hire then
    """

    horizon: Horizon
    yard: Yard
    book: HireBook
    releases: Releases
    hull: Codes
    stops: dict[str, Stop]
    spare: dict[tuple[str, int], float]
    dearer: dict[tuple[int, int], float] = field(default_factory=dict)
    _known: dict[tuple[int, int, int, int], float] = field(default_factory=dict, repr=False)

    def cost(self, row: int, at: int, bay: int, work_h: float) -> float:
        """Return what freeing a hull for a visit costs, currency; inf where no start will do.

        Parameters
        ----------
        place : int, row of the hull in the plan
        at : int, day of the horizon
        bay : int, bay of the yard
        work_h : float, h
        """
        key = (row, at, bay, int(np.ceil(work_h / STEP_H - 1e-9)))
        if key not in self._known:
            opens, closes = self.hours(at, bay)
            freed = free_a_window(self.releases, int(self.hull[row]), opens, closes, work_h)
            self._known[key] = freed.cost
        return self._known[key] + self.dearer.get((row, at), 0.0)

    def hours(self, at: int, bay: int) -> tuple[float, float]:
        """Return between which hours a bay works on a day, since the first day's midnight."""
        own = self.yard.bays[bay]
        return 24.0 * at + float(own.opens_h[at]), 24.0 * at + float(own.closes_h[at])

    @property
    def usual_cancel(self) -> float:
        """Return what cancelling a hire usually costs, currency."""
        return float(np.median(self.book.cancel)) if self.book.cancel.size else 0.0

    def kind(self, row: int) -> str:
        """Return the kind of a hull, with its mooring."""
        return str(self.book.sister_group[self.hull[row]])

    def standing(self, case: Case, row: int, times: Floats, covered: Flags) -> Floats:
        """Return what a stop costs in hires and urgency, shape (t, s), currency; 0 without one.

        Parameters
        ----------
        case : Case
        place : int, row of the hull in the plan
        times : ndarray, shape (t,), days ahead
        covered : bool ndarray, shape (s,), choices that deal with every anode that stops the hull
        """
        stop = self.stops.get(case.hull_id)
        if stop is None or stop.look_first:
            return np.zeros((times.size, covered.size))
        hull = int(self.hull[row])
        hours = self.book.now_h + 24.0 * times
        until = np.array([stopped_until(self.releases, hull, float(hour)) for hour in hours])
        never = stopped_until(self.releases, hull, self.book.until_h)
        end = self.horizon.end
        rate = case.overdue
        lifted = until[:, None] + rate * np.minimum(times, end)[:, None]
        left = never + rate * (end + 0.0 * times[:, None])
        return np.where(covered[None, :], lifted, np.maximum(left, lifted))

    def but_dearer(self, more: dict[tuple[int, int], float]) -> Desk:
        """Return the same desk with some days of some hulls dearer than they looked."""
        return replace(self, dearer={**self.dearer, **more})


def open_desk(
    appraisal: Appraisal, horizon: Horizon, yard: Yard, hull_ids: pd.Index, ahead: Prospects,
    late: pd.Series,
) -> Desk:  # fmt: skip
    """Lay out what the hire desk can do.

    Parameters
    ----------
    appraisal : Appraisal
    horizon : Horizon
    yard : Yard
    hull_ids : Index, hulls of the plan
    ahead : Prospects
    late : Series, row-aligned with `ahead.anodes`, currency a day past the limit

    Returns
    -------
    Desk
    """
    book = read_book(appraisal.checked, appraisal.forecast, horizon, _hour_cost(ahead, late))
    hull = book.hull_ids.get_indexer(hull_ids).astype(np.intp)
    stops = stops_of(appraisal)
    return Desk(
        horizon, yard, book, price_releases(book), hull, stops, _spare(book, yard, horizon, stops)
    )


def stops_of(appraisal: Appraisal) -> dict[str, Stop]:
    """Return the stops of the fleet, by hull."""
    forecast, checked = appraisal.forecast, appraisal.checked
    berths = checked.berths.sort_values("since", kind="stable").drop_duplicates(
        "hull_id", keep="last"
    )
    lifted = set(berths.loc[berths["stays"] == "lifted", "hull_id"].astype(str))
    stops = {}
    for row in forecast.hulls[forecast.hulls["stop"] != ""].to_dict("records"):
        hull = str(row["hull_id"])
        own = forecast.anodes[(forecast.anodes["hull_id"] == hull)]
        own = own[own["stop"] != ""]
        reasons = tuple(str(row["stop"]).split(","))
        at = np.flatnonzero(forecast.hulls["hull_id"] == hull)[0]
        unlikely = float(forecast.hull_chance[at, 0]) < POINTLESS
        in_reach = hull in lifted or bool((own["circuit"] == "engine").all())
        first = set(reasons) <= set(LOOK_MAY_CLEAR) and in_reach
        first = first and (unlikely or STOP_LIKELY not in reasons)
        positions = {str(p): tuple(str(s).split(",")) for p, s in
                     zip(own["position"], own["stop"], strict=True)}  # fmt: skip
        past = float(forecast.hull_chance[at, 0]) if STOP_LIKELY in reasons else 0.0
        bare = own["not_protecting"].max() if STOP_UNPROTECTED in reasons else 0.0
        passes = (1.0 - past) * (1.0 - float(np.nan_to_num(bare)))
        stops[hull] = Stop(reasons, positions, first, str(row["stop_why"]), passes)
    return stops


def _hour_cost(ahead: Prospects, late: pd.Series) -> pd.Series:
    """Return what an engine hour more costs each hull in lateness, currency per h.

    The lateness expected within two weeks, shared out over the two weeks' hours: a hull whose
    anodes are far from their limit takes hires for nothing.
    """
    cells = ahead.cells
    until = np.array([LATENESS_DAYS])
    each = [
        float(cost * ahead.days_past(row, until)[0])
        for row, cost in enumerate(late.to_numpy(float))
    ]
    total = pd.Series(each, dtype=float).groupby(pd.Series(cells["hull_id"], dtype=object)).sum()
    return total / (LATENESS_DAYS * USUAL_ENGINE_H)


USUAL_ENGINE_H = 4.0
"""Engine hours of a hull's day in season, to share lateness out by (common practice, no source)."""


def _spare(
    book: HireBook, yard: Yard, horizon: Horizon, stops: dict[str, Stop]
) -> dict[tuple[str, int], float]:
    """Count, kind by kind and day by day, the hulls that can take a hire in the bays' hours."""
    spare = {}
    held = {hull for hull, stop in stops.items() if not stop.look_first}
    for kind in np.unique(book.sister_group.astype(str)):
        hulls = np.flatnonzero(book.sister_group == kind)
        bays = yard.at(str(book.mooring[hulls[0]]))
        standing = int(book.hull_ids[hulls].isin(held).sum())
        own = np.flatnonzero(np.isin(book.hull, hulls))
        for at in range(len(horizon.days)):
            opens = min((float(bay.opens_h[at]) for bay in bays), default=8.0)
            closes = max((float(bay.closes_h[at]) for bay in bays), default=17.0)
            moments = 24.0 * at + np.arange(opens, max(closes, opens + STEP_H), STEP_H)
            load = (
                (book.start_h[own][:, None] <= moments) & (book.end_h[own][:, None] > moments)
            ).sum(axis=0)
            free = hulls.size - standing - int(book.reserve[hulls[0]]) - load
            spare[kind, at] = float(max(np.median(free), 0.0))
    return spare
