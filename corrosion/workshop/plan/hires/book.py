"""The hires ahead, by hull and hour, and which hulls may stand in for which."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import Codes, Floats, formatting
from corrosion.forecast import Forecast
from corrosion.records import Checked, Settings
from corrosion.workshop.plan.cases import Flags
from corrosion.workshop.plan.horizon import Horizon
from corrosion.workshop.plan.rows import Answered

MOVE_COST: Final = 10.0
CANCEL_FACTOR: Final = 1.5
SHORT_NOTICE: Final = 1.5
"""A hire cancelled at short notice costs so many times as much."""
SHORT_NOTICE_H: Final = 48.0
TURNROUND_H: Final = 0.5
HIRE_VALUE: Final = 100.0
MOVE_WITHIN_DAYS: Final = 14
"""Hires are moved within two weeks; further ahead they are only counted."""


@dataclass(frozen=True)
class HireTerms:
    """What moving and cancelling cost, currency, and the hours between two hires."""

    may_move: bool
    move_cost: float
    cancel_factor: float
    turnround_h: float
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class HireBook:
    """Hires ahead of hulls in service: m hires, n hulls.

    Attributes
    ----------
    hull_ids : Index, shape (n,)
    sister_group : object ndarray, shape (n,), mooring and kind: hulls of one group may stand in for
        each other
    mooring, kind : object ndarray, shape (n,)
    takes : bool ndarray, shape (n,), may take another hull's hire
    hour_cost : ndarray, shape (n,), what an engine hour more costs in lateness, currency per h
    hull : ndarray of int, shape (m,), place of the hull that is booked
    start_h, end_h : ndarray, shape (m,), local hours since midnight of the horizon's first day
    fixed : bool ndarray, shape (m,), this very hull was promised, or the hire runs already
    cancel : ndarray, shape (m,), what cancelling costs, currency
    engine_h : ndarray, shape (m,), engine hours expected, h
    row : ndarray of int, shape (m,), rows of `bookings`
    now_h : float, the moment of the plan
    terms : HireTerms
    reserve : ndarray of int, shape (n,), hulls of the kind that are kept free
    answered : Answered, what was asked of these hires before
    """

    hull_ids: pd.Index
    sister_group: npt.NDArray[np.object_]
    mooring: npt.NDArray[np.object_]
    kind: npt.NDArray[np.object_]
    takes: Flags
    hour_cost: Floats
    hull: Codes
    start_h: Floats
    end_h: Floats
    fixed: Flags
    cancel: Floats
    engine_h: Floats
    row: Codes
    now_h: float
    terms: HireTerms
    reserve: Codes
    answered: Answered = field(default_factory=Answered, compare=False, repr=False)

    @property
    def until_h(self) -> float:
        """Return the hour up to which hires are moved."""
        return 24.0 * MOVE_WITHIN_DAYS

    def of_hull(self, hull: int) -> Codes:
        """Return the hires of a hull."""
        return np.flatnonzero(self.hull == hull)

    def in_way(
        self, hires: Codes, start_h: Floats | float, end_h: Floats | float, *, turn: bool = True
    ) -> Flags:
        """Return which hires are in the way of some hours on their hull.

        A hire is in the way where it begins before they have ended and the hull is made ready, and
        has ended and the hull been made ready only after they have begun.

        Parameters
        ----------
        hires : ndarray of int, shape (h,)
        start_h, end_h : the hours, one span, or spans of shape (s, 1), which give (s, h)
        turn : bool, whether the hull is made ready between these hours and a hire before or after
        """
        turn_h = self.terms.turnround_h if turn else 0.0
        begins_within = self.start_h[hires] < end_h + turn_h
        return np.asarray(begins_within & (self.end_h[hires] + turn_h > start_h))


def read_terms(settings: Settings) -> HireTerms:
    """Fill in what a fleet does not say about its hires, and say so.

    Parameters
    ----------
    settings : Settings
    """
    hires, assumed = settings.hires, []
    currency = settings.currency
    if hires.may_move is None:
        assumed.append("No hires.may_move in fleet.toml: hires may move to a sister of their kind.")
    if hires.move_cost is None:
        assumed.append(
            f"No hires.move_cost: {formatting.price(MOVE_COST, currency)} a move is taken."
        )
    if hires.cancel_factor is None:
        assumed.append(
            f"No hires.cancel_factor: a cancelled hire is taken to cost {CANCEL_FACTOR} times its "
            f"value, {SHORT_NOTICE} times that within {SHORT_NOTICE_H:.0f} h."
        )
    if hires.turnround_minutes is None:
        assumed.append("No hires.turnround_minutes: 30 min between two hires of a hull are taken.")
    return HireTerms(
        hires.may_move is not False,
        MOVE_COST if hires.move_cost is None else hires.move_cost,
        CANCEL_FACTOR if hires.cancel_factor is None else hires.cancel_factor,
        TURNROUND_H if hires.turnround_minutes is None else hires.turnround_minutes / 60.0,
        tuple(assumed),
    )


def read_book(
    checked: Checked, forecast: Forecast, horizon: Horizon, hour_cost: pd.Series
) -> HireBook:
    """Lay out the hires ahead.

    Parameters
    ----------
    checked : Checked
    forecast : Forecast
    horizon : Horizon
    hour_cost : Series by hull_id, what an engine hour more costs in lateness, currency per h

    Returns
    -------
    HireBook
    """
    settings = checked.logbook.settings
    rules = read_terms(settings)
    hulls = _hulls(checked, forecast)
    first = pd.Timestamp(horizon.days[0])
    last = pd.Timestamp(horizon.days[-1] + timedelta(days=1))
    bookings = checked.bookings
    place = pd.Index(hulls["hull_id"]).get_indexer(pd.Index(bookings["hull_id"]))
    local = {
        name: bookings[name].dt.tz_convert(horizon.zone).dt.tz_localize(None)
        for name in ("starts", "ends")
    }
    now = horizon.on.tz_convert(horizon.zone).tz_localize(None)
    known = (place >= 0) & local["ends"].gt(now).to_numpy() & local["starts"].lt(last).to_numpy()
    rows = np.flatnonzero(known)
    own_place, begins, ends = (
        each[rows] for each in (place, local["starts"].to_numpy(), local["ends"].to_numpy())
    )
    rows = rows[np.lexsort((ends, own_place, begins))]  # whatever the order of rows in the log
    hours = {name: _hours(local[name].iloc[rows], first) for name in local}
    own, now_h = bookings.iloc[rows], float((now - first) / pd.Timedelta(hours=1))
    promised = own["this_hull"].fillna(False).to_numpy(bool)
    kind = np.array(
        [f"{m}\n{s}" for m, s in zip(hulls["mooring_id"], hulls["kind"], strict=True)], dtype=object
    )
    return HireBook(
        pd.Index(hulls["hull_id"]), kind, hulls["mooring_id"].to_numpy(object),
        hulls["kind"].to_numpy(object), hulls["takes"].to_numpy(bool),
        hour_cost.reindex(hulls["hull_id"]).fillna(0.0).to_numpy(float),
        place[rows].astype(np.intp), hours["starts"], hours["ends"],
        promised | (hours["starts"] <= now_h), _cancel(own, hours["starts"] - now_h, rules),
        own["engine_hours"].fillna(own["engine_hours"].dropna().median()).fillna(0.0).to_numpy(float),
        rows.astype(np.intp), now_h, rules,
        np.array([settings.hires.kept_free(str(m), str(s)) for m, s in
                  zip(hulls["mooring_id"], hulls["kind"], strict=True)], dtype=np.intp),
    )  # fmt: skip


def _hours(moments: pd.Series, first: pd.Timestamp) -> Floats:
    return np.asarray((moments - first) / pd.Timedelta(hours=1), float)


def _cancel(bookings: pd.DataFrame, notice_h: Floats, rules: HireTerms) -> Floats:
    value = bookings["hire_value"].where(bookings["hire_value"] >= 0)
    usual = value.dropna().median()
    filled = value.fillna(HIRE_VALUE if pd.isna(usual) else float(usual)).to_numpy(float)
    late = np.where(notice_h < SHORT_NOTICE_H, SHORT_NOTICE, 1.0)
    return np.asarray(filled * rules.cancel_factor * late)


def _hulls(checked: Checked, forecast: Forecast) -> pd.DataFrame:
    """Return hulls in service that have a berth: hull_id, mooring_id, kind, takes."""
    judged = forecast.hulls
    ids = sorted([*judged["hull_id"], *forecast.not_judged["hull_id"]], key=str)
    register = checked.hulls.drop_duplicates("hull_id").set_index("hull_id").reindex(ids)
    berths = checked.berths.sort_values("since", kind="stable")
    last = berths.drop_duplicates("hull_id", keep="last").set_index("hull_id")["mooring_id"]
    kind = register["hire_kind"].where(register["hire_kind"].notna(), register["layout"])
    tolerated = checked.logbook.settings.tolerated_risk
    sound = judged[(judged["stop"] == "") & (judged["risk"] <= tolerated)]["hull_id"]
    table = pd.DataFrame(
        {"hull_id": ids, "mooring_id": last.reindex(ids).to_numpy(object),
         "kind": kind.to_numpy(object)}
    )  # fmt: skip
    retires = register["retired"].notna().to_numpy()
    table["takes"] = table["hull_id"].isin(sound) & table["mooring_id"].notna() & ~retires
    return table
