"""What was found: the looks that followed each forecast, and what they can tell of it.

An anode worn beyond its limit is noticed at a look, so a forecast is set beside looks. The
*next look* is judged wherever there was one: nothing that was done because of it can have spoilt
it. *By the end of a horizon* is judged where looks since then say it: worn found by then, sound
found after it, or a crossing between two looks, which counts with the chance that it came before
the end. What cannot be judged is counted, with the reason.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd
from scipy.special import ndtr

from corrosion.common import Floats, hours_since_epoch
from corrosion.exposure import ANODE, Exposure, Lives, build_exposure, build_lives
from corrosion.forecast.backtest.spans import HORIZONS_DAYS, KNOTS_DAYS
from corrosion.life_model import RANGE_EDGE, VERDICT_ERROR
from corrosion.records import Checked

HOW: Final = ("worn", "sound", "between", "pulled", "unread", "open")
"""How a horizon ended: worn was found by then; sound was found after it; the limit was crossed
between two looks around it; the anode was pulled before, not found worn; nobody has looked since;
the horizon is not over."""
FARTHEST_H: Final = 24.0 * KNOTS_DAYS[-1]
LEAST_ENGINE_H: Final = 0.5
"""Fewer engine hours expected than this say nothing of how many times as many were run."""


def judged(forecasts: pd.DataFrame, checked: Checked) -> pd.DataFrame:
    """Put beside each forecast what was found.

    Parameters
    ----------
    forecasts : DataFrame
        As `corrosion.forecast.backtest.forecasts.forecasts_of` gives it, any number of weeks.
    checked : Checked
        The logs as they stand at the end of the record.

    Returns
    -------
    DataFrame
        The same rows with `next_at` (UTC, the next look at that very anode within eight weeks),
        `next_days` (days ahead), `next_worn` (share; unknown for a bare verdict), `next_found` (1
        where it was found at or past its limit, 0 where not, NaN without a look), `chance` (said
        for that look to find it so: worn and reading error), `low`, `high` (80 % range of what
        that look would measure), `engine_h_said` and `engine_h_run` (engine hours expected
        until that look, and run until then by the logs of today), `chance_used` (what `chance`
        would have been, had the hours that were run been known); and for each horizon `found_<d>`
        (chance that the limit was crossed by then, NaN where it cannot be judged) and `how_<d>`
        (one of `HOW`).
    """
    lives = build_lives(checked)
    exposure = build_exposure(checked)
    week_h = hours_since_epoch(forecasts["week"])
    table = forecasts.assign(week_h=week_h, life=_life_of(forecasts, week_h, lives))
    looks = _looks(lives)
    end_h = float(hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0])
    table = _use_known(_next_look(table, looks), exposure)
    for days in HORIZONS_DAYS:
        worn, how = _by_the_end(table, looks, lives, days, end_h)
        table = table.assign(**{f"found_{days}": worn, f"how_{days}": how})
    return table.drop(columns=["week_h", "life"])


def _life_of(forecasts: pd.DataFrame, week_h: Floats, lives: Lives) -> Floats:
    """Return the life that was in place at each forecast, as the logs tell it now; NaN: none."""
    begun = lives.lives.reset_index()[[*ANODE, "start_h", "life"]].sort_values("start_h")
    anodes = forecasts[ANODE].astype(object).assign(at_h=week_h, row=np.arange(len(forecasts)))
    met = pd.merge_asof(
        anodes.sort_values("at_h"), begun, left_on="at_h", right_on="start_h", by=ANODE
    )
    return np.asarray(met.sort_values("row")["life"].to_numpy(float))


def _looks(lives: Lives) -> pd.DataFrame:
    """Return every look with whether it found the anode worn, and its own error."""
    looks = lives.looks
    kind = looks["kind"].to_numpy(object)
    worn = looks["worn"].where(kind != "verdict")
    past_limit = np.where(kind == "verdict", looks["spent"], looks["worn"] >= 1.0).astype(float)
    width = (looks["worn_high"] - looks["worn_low"]).abs()
    error = np.select(
        [kind == "range", kind == "verdict"],
        [np.sqrt(width**2 / 12 + RANGE_EDGE**2), VERDICT_ERROR],
        default=np.nan,
    )
    crusted = (looks["uncleaned"] & (kind == "size")).to_numpy(bool)
    table = looks[["life", "at_h"]].assign(
        worn=worn, found=past_limit, look_error=error, crusted=crusted
    )
    return table.sort_values("at_h", kind="stable").astype({"life": float})


def _next_look(table: pd.DataFrame, looks: pd.DataFrame) -> pd.DataFrame:
    anodes = table[["life", "week_h"]].assign(row=np.arange(len(table))).dropna(subset=["life"])
    met = pd.merge_asof(
        anodes.sort_values("week_h"), looks, left_on="week_h", right_on="at_h", by="life",
        direction="forward", allow_exact_matches=False,
    )  # fmt: skip
    met = met.set_index("row").reindex(np.arange(len(table)))
    ahead_h = met["at_h"].to_numpy(float) - table["week_h"].to_numpy(float)
    near = ahead_h <= FARTHEST_H
    days = np.where(near, ahead_h / 24, np.nan)
    mean, sd = _at_days(table, "mean", days), _at_days(table, "sd", days)
    crusted = met["crusted"].fillna(False).to_numpy(bool)  # it shows more metal than there is
    mean = mean - np.where(crusted, table["crust"], 0.0)
    caliper = table["error"] * np.where(crusted, table["crust_widens"], 1.0)
    error = np.where(np.isnan(met["look_error"]), caliper, met["look_error"])
    spread = np.sqrt(sd**2 + error**2)
    z80 = 1.2815515655446004
    return table.assign(
        next_at=_moments(np.where(near, met["at_h"], np.nan)),
        next_days=days,
        next_worn=np.where(near, met["worn"], np.nan),
        next_found=np.where(near, met["found"], np.nan),
        chance=ndtr((mean - 1.0) / spread),
        low=mean - z80 * spread,
        high=mean + z80 * spread,
        spread=spread,
    )


def _use_known(table: pd.DataFrame, exposure: Exposure) -> pd.DataFrame:
    """Say what would have been said of the next look, had the engine hours until then been known.

    Wear that goes with engine hours is taken as many times as hours were run for one expected, and
    the spread of use is taken out; warmth, flushes and hours afloat stay as they were expected.
    """
    days = table["next_days"].to_numpy(float)
    hull = exposure.hull_ids.get_indexer(pd.Index(table["hull_id"]))
    week_h = table["week_h"].to_numpy(float)
    until_h = week_h + 24 * np.nan_to_num(days)
    plain = exposure.cells["state"][exposure.cells["state"] != "unflushed"]
    running = (plain == "running").to_numpy(bool)
    ran = exposure.between(hull, week_h, until_h).plain[:, running].sum(axis=1)
    engine, used, use_sd = (_at_days(table, name, days) for name in ("engine", "used", "use_sd"))
    times = np.where(engine > LEAST_ENGINE_H, ran / np.maximum(engine, LEAST_ENGINE_H), 1.0)
    mean = _at_days(table, "mean", days) + used * (times - 1.0)
    variance = table["spread"].to_numpy(float) ** 2 - (used * use_sd) ** 2
    spread = np.sqrt(np.maximum(variance, table["error"].to_numpy(float) ** 2))
    return table.assign(
        engine_h_said=engine,
        engine_h_run=np.where(np.isnan(days), np.nan, ran),
        chance_used=ndtr((mean - 1.0) / spread),
    ).drop(columns=["spread"])


def _moments(at_h: Floats) -> pd.DatetimeIndex:
    """Return hours since 1970 as moments, UTC, to the second."""
    return pd.DatetimeIndex(pd.to_datetime((at_h * 3600).round(), unit="s", utc=True)).as_unit("us")


def _at_days(table: pd.DataFrame, name: str, days: Floats) -> Floats:
    """Return what was said for so many days ahead, between the days that were written down."""
    knots = np.array(KNOTS_DAYS, dtype=float)
    values = table[[f"{name}_{d}" for d in KNOTS_DAYS]].to_numpy(float)
    known = np.where(np.isnan(days), 0.0, days)
    after = np.clip(np.searchsorted(knots, known), 1, knots.size - 1)
    share = (known - knots[after - 1]) / (knots[after] - knots[after - 1])
    rows = np.arange(len(table))
    between = values[rows, after - 1] * (1 - share) + values[rows, after] * share
    return np.where(np.isnan(days), np.nan, between)


def _by_the_end(
    table: pd.DataFrame, looks: pd.DataFrame, lives: Lives, days: int, end_h: float
) -> tuple[Floats, np.ndarray]:
    horizon_h = table["week_h"].to_numpy(float) + 24.0 * days
    first = _first_after(table, looks[looks["found"] > 0])
    after = _around(table, looks, horizon_h, "forward")
    before = _around(table, looks, horizon_h, "backward")
    stop_h = lives.lives["stop_h"].reindex(table["life"]).to_numpy(float)
    crossed = _crossed_before(table, before, after, horizon_h)
    has_after = ~np.isnan(after["at_h"].to_numpy(float))
    sound_after = has_after & (after["found"].to_numpy(float) == 0)
    how = np.select(
        [
            np.isnan(table["life"]), first <= horizon_h, sound_after, has_after,
            stop_h <= horizon_h, horizon_h > end_h,
        ],
        ["unread", "worn", "sound", "between", "pulled", "open"],
        default="unread",
    )  # fmt: skip
    worn = np.select(
        [how == "worn", how == "sound", how == "between"], [1.0, 0.0, crossed], default=np.nan
    )
    return worn, how.astype(object)


def _first_after(table: pd.DataFrame, looks: pd.DataFrame) -> Floats:
    """Return the hour of the first of the looks after each forecast, NaN where there is none."""
    met = _around(table, looks, table["week_h"].to_numpy(float), "forward")
    return np.asarray(met["at_h"].to_numpy(float))


def _around(table: pd.DataFrame, looks: pd.DataFrame, at_h: Floats, way: str) -> pd.DataFrame:
    """Return the look at each anode next to a moment, later or earlier than it."""
    ends = pd.DataFrame({"life": table["life"], "end_h": at_h, "row": np.arange(len(table))})
    ends = ends.dropna(subset=["life"]).sort_values("end_h")
    met = pd.merge_asof(
        ends,
        looks,
        left_on="end_h",
        right_on="at_h",
        by="life",
        direction=way,  # type: ignore[arg-type]
    )
    return met.set_index("row").reindex(np.arange(len(table)))


def _crossed_before(
    table: pd.DataFrame, before: pd.DataFrame, after: pd.DataFrame, horizon_h: Floats
) -> Floats:
    """Return the chance that a limit crossed between two looks was crossed before the horizon.

    The size at the horizon lies on the line between both looks; its doubt is a reading's. Where a
    look gave no size, any moment between them is as likely as another.
    """
    from_h = before["at_h"].fillna(table["week_h"].set_axis(before.index)).to_numpy(float)
    from_h = np.maximum(from_h, table["week_h"].to_numpy(float))
    to_h = after["at_h"].to_numpy(float)
    share = np.clip((horizon_h - from_h) / np.maximum(to_h - from_h, 1e-6), 0.0, 1.0)
    start = before["worn"].to_numpy(float)
    start = np.where(np.isnan(start), table["mean_0"].to_numpy(float), start)
    worn = start + (after["worn"].to_numpy(float) - start) * share
    sized = ndtr((worn - 1.0) / np.maximum(table["error"].to_numpy(float), 1e-3))
    return np.asarray(np.where(np.isnan(worn), share, sized))
