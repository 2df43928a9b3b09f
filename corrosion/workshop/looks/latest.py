"""The latest date for a look at each anode, whatever money says, and what sets it."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.special import ndtr

from corrosion.common import Floats
from corrosion.forecast import Appraisal
from corrosion.records import SALTY
from corrosion.workshop.berth_groups import Surprise, feel_the_berth, risen_pace, sentinels
from corrosion.workshop.looks.at_stake import Ground

STRAY_LOOK_DAYS = {"salt": 70.0, "brackish": 98.0, "fresh": 182.0}
"""Most days between two looks where a fleet says nothing (a choice, no source)."""
LIMIT_LEAD_DAYS = 14.0
"""A look comes so long before the tolerated risk: a week to the next plan, a week to a free day."""
CLOSE_DAYS = 7.0
CLOSE_LOOKS = 2
"""After a move, an engine swap or a flag: so many looks, so many days apart."""
NEWS_DAYS = 42.0
"""A move or an engine swap asks for close looks for so long."""
SUSPECT_CHANCE, SUSPECT_UNTIL = 0.06, 0.9
"""An anode in salt or brackish water is suspected where it is so likely not to protect (any is with
one in forty); from `SUSPECT_UNTIL` on nothing is left to look for."""
TELLING_ERRORS, TELLING_DAYS = 3.0, 42.0
"""A look at a suspect tells once a sound anode would have lost so many reading errors; it is put
off no longer than that."""
SURE_READING = 1.645
"""A reading that one look in twenty would beat: where even that clears nothing, none is asked."""
REASONS = ("limit", "manual", "odd", "unread", "sentinel")
"""In this order where two fall on one day."""


def latest_looks(
    appraisal: Appraisal,
    ground: Ground,
    groups: pd.DataFrame,
    surprised: list[Surprise],
    doubtful: frozenset[str],
) -> pd.DataFrame:
    """Say by when each anode is to be looked at at the latest, by reason.

    Parameters
    ----------
    appraisal : Appraisal
    ground : Ground, k anodes
    groups : DataFrame, as `berth_groups`
    surprised : list of Surprise
    doubtful : frozenset of str, as `doubtful_berths`

    Returns
    -------
    DataFrame
        k rows, a column for each of `REASONS`: days ahead, less than 0 where overdue, infinite
        where that reason asks for nothing; and `known_past` (bool: at its limit whatever a reading
        would show, so that the work is a pull-out and no look).
    """
    anodes, on = ground.anodes, appraisal.forecast.on
    limit, known = _limit(ground, groups, surprised)
    table = pd.DataFrame({"limit": limit, "known_past": known})
    table["manual"] = _manual(appraisal, anodes)
    table["unread"] = _unread(appraisal, anodes, groups)
    table["odd"] = np.minimum.reduce(
        [
            _flagged(appraisal, ground),
            _suspected(appraisal, ground),
            _after_news(appraisal, anodes, groups, surprised),
            _doubted(appraisal, anodes, groups, doubtful),
        ]
    )
    table["sentinel"] = _sentinel(ground, groups, on)
    return table[[*REASONS, "known_past"]]


def _days(moments: pd.Series, on: pd.Timestamp) -> Floats:
    """Return days ahead of moments, infinite where unknown, shape (k,)."""
    days = (moments - on).dt.total_seconds().to_numpy(float) / 86400.0
    return np.asarray(np.where(np.isnan(days), np.inf, days))


def _limit(
    ground: Ground, groups: pd.DataFrame, surprised: list[Surprise]
) -> tuple[Floats, np.ndarray]:
    tolerated, courses = ground.stakes.tolerated, ground.courses
    days = np.array(
        [ground.prospects.when_chance(row, tolerated) for row in range(len(ground.anodes))]
    )
    days = days / risen_pace(ground.anodes, groups, surprised)
    moves, left = courses.taught(0)
    best = ndtr((courses.worn[:, 0] - SURE_READING * moves[:, 0] - 1.0) / left[:, 0])
    return days - LIMIT_LEAD_DAYS, best > tolerated


def _manual(appraisal: Appraisal, anodes: pd.DataFrame) -> Floats:
    """Return days to the manual's interval, where the register says that it binds."""
    register = appraisal.checked.anode_positions.drop_duplicates(["layout", "position"])
    binds = anodes[["layout", "position"]].merge(
        register[["layout", "position", "interval_binds"]], on=["layout", "position"], how="left"
    )["interval_binds"]
    zone = appraisal.logbook.settings.timezone
    today = pd.Timestamp(appraisal.forecast.on.tz_convert(zone).date())
    by = pd.to_datetime(anodes["inspect_by"], errors="coerce")
    days = (by - today).dt.days.to_numpy(float)
    asks = binds.eq(True).fillna(False).to_numpy(bool) & ~np.isnan(days)
    return np.asarray(np.where(asks, days, np.inf))


def stray_days(appraisal: Appraisal, water: pd.Series) -> Floats:
    """Return the most days between two looks in each water; unknown water counts as salt."""
    by_water = STRAY_LOOK_DAYS | dict(appraisal.logbook.settings.stray_look_days)
    return np.asarray(water.map(by_water).fillna(by_water["salt"]).to_numpy(), float)


def _unread(appraisal: Appraisal, anodes: pd.DataFrame, groups: pd.DataFrame) -> Floats:
    since = anodes[["last_read_at", "fitted_at"]].max(axis=1)
    most = stray_days(appraisal, groups["water"].reindex(anodes["hull_id"]).reset_index(drop=True))
    # neither read nor known when it was fitted: it is unread today
    days = (since - appraisal.forecast.on).dt.total_seconds().to_numpy(float) / 86400.0
    return np.asarray(np.where(np.isnan(days), 0.0, days + most))


def _flagged(appraisal: Appraisal, ground: Ground) -> Floats:
    """Return days to a close look at an anode that is odd, until it had enough of them."""
    anodes, on = ground.anodes, appraisal.forecast.on
    # the look that showed it, and the close ones after it
    seen = _looks_since(appraisal, anodes, anodes["odd_since"].fillna(anodes["fitted_at"]))
    again = _days(anodes["last_read_at"], on) + CLOSE_DAYS
    grew = (anodes["flag"] == "grew").to_numpy(bool) & (
        _looks_since(appraisal, anodes, anodes["fitted_at"]) <= 1
    )
    odd = anodes["pace_flag"].ne("").to_numpy(bool)
    asks = (odd & (seen < 1 + CLOSE_LOOKS)) | grew
    return np.asarray(np.where(asks, again, np.inf))


def _suspected(appraisal: Appraisal, ground: Ground) -> Floats:
    """Return days to a look at an anode that may not protect: when one tells, and no earlier."""
    anodes = ground.anodes
    salty = pd.Series(appraisal.exposure.waters).reindex(anodes["mooring_id"]).isin(SALTY)
    chance = anodes["not_protecting"].to_numpy(float)
    asks = salty.to_numpy(bool) & (chance >= SUSPECT_CHANCE) & (chance < SUSPECT_UNTIL)
    told, month_days = _told_in_a_month(ground)
    own_pace = np.clip(np.nan_to_num(anodes["beside_sisters"].to_numpy(float), nan=1.0), 0.2, 1.0)
    tells_after = month_days * TELLING_ERRORS * own_pace / np.maximum(told, 1e-9)
    again = _days(anodes["last_read_at"], appraisal.forecast.on)
    again = again + np.clip(tells_after, CLOSE_DAYS, TELLING_DAYS)
    return np.asarray(np.where(asks, again, np.inf))


def _told_in_a_month(ground: Ground) -> tuple[Floats, float]:
    """Return the wear expected in a month over the error of a reading, and the month's days."""
    grid, worn = ground.courses.grid, ground.courses.worn
    month = int(np.searchsorted(grid, 28.0))
    return (worn[:, month] - worn[:, 0]) / ground.courses.error, float(grid[month])


def _looks_since(appraisal: Appraisal, anodes: pd.DataFrame, since: pd.Series) -> Floats:
    """Return how many days an anode was looked at after a moment; all where it is unknown."""
    readings = appraisal.checked.readings[["hull_id", "position", "read_at"]]
    since_rows = anodes[["hull_id", "position"]].assign(
        row=np.arange(len(anodes)), since=since.array
    )
    both = readings.merge(since_rows, on=["hull_id", "position"])
    both = both[both["since"].isna() | (both["read_at"] > both["since"])]
    days = both.assign(day=both["read_at"].dt.floor("D")).groupby("row")["day"].nunique()
    return np.asarray(days.reindex(np.arange(len(anodes)), fill_value=0).to_numpy(), float)


def _after_news(
    appraisal: Appraisal, anodes: pd.DataFrame, groups: pd.DataFrame, surprised: list[Surprise]
) -> Floats:
    """Return days to a look after a move, an engine swap, or a surprise at the hull or its berth.

    The surprised hull is looked at again; its sisters at the berth once, as soon as may be.
    """
    on, hull = appraisal.forecast.on, anodes["hull_id"]
    outside = (anodes["circuit"] == "hull").to_numpy(bool)
    asks = np.full(len(anodes), np.inf)
    for news, which in (
        (_moves(appraisal), np.ones(len(anodes), bool)),
        (_engine_swaps(appraisal), ~outside),
    ):
        since = news.reindex(hull).set_axis(anodes.index)
        recent = which & (_days(since, on) > -NEWS_DAYS) & since.notna().to_numpy(bool)
        seen = _looks_since(appraisal, anodes, since)
        last = np.fmax(_days(since, on), _days(anodes["last_read_at"].fillna(since), on))
        asks = np.where(recent & (seen < CLOSE_LOOKS), np.minimum(asks, last + CLOSE_DAYS), asks)
    group = hull.map(groups["group"]).to_numpy(object)
    afloat = hull.map(groups["afloat"]).eq(True).to_numpy(bool)
    for each in surprised:
        same = outside if each.outside else np.ones(len(anodes), bool)
        own = same & (hull == each.hull_id).to_numpy(bool)
        week = each.read_at - pd.Timedelta(days=2 * CLOSE_DAYS)
        again = _looks_since(appraisal, anodes, pd.Series(week, index=anodes.index)) < CLOSE_LOOKS
        close = _days(anodes["last_read_at"], on) + CLOSE_DAYS
        asks = np.where(own & again, np.minimum(asks, close), asks)
        unseen = ~(anodes["last_read_at"] >= each.read_at.floor("D")).to_numpy(bool)
        sisters = same & (group == each.group) & unseen & (afloat | ~same | (not each.outside))
        asks = np.where(sisters & ~own, 0.0, asks)
    return asks


def _doubted(
    appraisal: Appraisal, anodes: pd.DataFrame, groups: pd.DataFrame, doubtful: frozenset[str]
) -> Floats:
    """Return days to a look at the hulls of a berth in doubt: twice each, a week apart."""
    on = appraisal.forecast.on
    lies_there = anodes["hull_id"].map(groups["group"]).isin(doubtful).to_numpy(bool)
    month = pd.Series(on - pd.Timedelta(days=4 * CLOSE_DAYS), index=anodes.index)
    asks = (
        lies_there
        & feel_the_berth(anodes, groups)
        & (_looks_since(appraisal, anodes, month) < CLOSE_LOOKS)
    )
    again = _days(anodes["last_read_at"], on) + CLOSE_DAYS
    return np.asarray(np.where(asks, np.where(np.isfinite(again), again, 0.0), np.inf))


def _moves(appraisal: Appraisal) -> pd.Series:
    """Return when each hull last came from another mooring, by hull; hulls that never did left out.

    The berth that a hull came into the fleet with is no move.
    """
    berths = appraisal.checked.berths
    berths = berths[berths["since"] <= appraisal.forecast.on].sort_values(
        ["hull_id", "since"], kind="stable"
    )
    before = berths.groupby("hull_id")["mooring_id"].shift()
    moved = berths[before.notna() & (before != berths["mooring_id"])]
    return moved.drop_duplicates("hull_id", keep="last").set_index("hull_id")["since"]


def _engine_swaps(appraisal: Appraisal) -> pd.Series:
    swaps = appraisal.logbook.engine_swaps.sort_values("swapped_at", kind="stable")
    return swaps.drop_duplicates("hull_id", keep="last").set_index("hull_id")["swapped_at"]


def _sentinel(ground: Ground, groups: pd.DataFrame, on: pd.Timestamp) -> Floats:
    tells, _ = _told_in_a_month(ground)
    chosen = sentinels(ground.anodes, groups, tells)
    days = np.full(len(ground.anodes), np.inf)
    days[chosen["row"].to_numpy(np.intp)] = _days(chosen["due_at"], on)
    return days
