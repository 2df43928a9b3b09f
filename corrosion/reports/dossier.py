"""One hull's papers: berth, anodes, looks, the way ahead, hours by clock, history."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.common import Z80, Floats, after_days, hours_since_epoch
from corrosion.exposure import drying_weights
from corrosion.forecast import Appraisal
from corrosion.life_model import Between, worn_between_looks
from corrosion.records import hull_history
from corrosion.reports.headline import next_hires

DRAWN_BACK_DAYS: Final = 400
WEEKS_OF_HOURS: Final = 12
PAST_POINTS: Final = 160
_ENDS: Final = {"low_mm": Z80, "size_mm": 0.0, "high_mm": -Z80}
CLOCKS: Final = {
    "running": "engine running",
    "unflushed": "salty and wet after shut-down",
    "afloat": "afloat",
}


@dataclass(frozen=True)
class Dossier:
    """Everything known about one hull at one moment.

    Attributes
    ----------
    hull_id, name, layout, mooring_id, stays : str
        Who it is and where it lives; empty where not known.
    since : Timestamp or None
        From when on it lives there, UTC.
    standing : Series or None
        Its row in the ranking; None when it is not judged.
    not_judged : str
        Why it is not judged; empty when it is.
    next_hire : Timestamp or None
        Start of its next hire, or of the one that it is out on, UTC.
    anodes : DataFrame
        Its rows of the forecast's anodes, riskiest first.
    looks : DataFrame
        One row per reading: `position`, `at` (UTC), `low_mm`, `size_mm`, `high_mm` (80 %),
        `kind` (``caliper``, ``by eye``, ``doubtful``, ``verdict``), `verdict`, `note`.
    courses : DataFrame
        The way ahead of each anode: `position`, `at` (UTC), `low_mm`, `size_mm`, `high_mm`.
    past : DataFrame
        The course of each anode in service through its looks, from its start to now: `position`,
        `at` (UTC), `low_mm`, `size_mm`, `high_mm` (80 %), `looked` (whether a look came later).
    marks : DataFrame
        Changes and moves: `position`, `at` (UTC), `label`.
    hours : DataFrame
        One row per clock and week: `week` (its first moment, UTC), `clock`, `hours`.
    history : DataFrame
        One row per entry, newest first, as `corrosion.records.history.hull_history` gives it.
    """

    hull_id: str
    name: str
    layout: str
    mooring_id: str
    stays: str
    since: pd.Timestamp | None
    standing: pd.Series | None
    not_judged: str
    next_hire: pd.Timestamp | None
    anodes: pd.DataFrame
    looks: pd.DataFrame
    courses: pd.DataFrame
    past: pd.DataFrame
    marks: pd.DataFrame
    hours: pd.DataFrame
    history: pd.DataFrame


def dossier(appraisal: Appraisal, hull_id: str) -> Dossier | None:
    """Gather one hull's papers.

    Parameters
    ----------
    appraisal : Appraisal
        The fleet's appraisal.
    hull_id : str
        The hull.

    Returns
    -------
    Dossier or None
        None when the logs know no such hull.
    """
    known = appraisal.logbook.hulls[appraisal.logbook.hulls["hull_id"] == hull_id]
    if known.empty:
        return None
    forecast = appraisal.forecast
    berth = _berth(appraisal, hull_id)
    ranked = forecast.hulls[forecast.hulls["hull_id"] == hull_id]
    reasons = forecast.not_judged.loc[forecast.not_judged["hull_id"] == hull_id, "reason"]
    anodes = forecast.anodes[forecast.anodes["hull_id"] == hull_id]
    return Dossier(
        hull_id=hull_id,
        name=_text(known["name"].iloc[-1]),
        layout=_text(known["layout"].iloc[-1]),
        mooring_id="" if berth is None else _text(berth["mooring_id"]),
        stays="" if berth is None else _text(berth["stays"]),
        since=None if berth is None else berth["since"],
        standing=None if ranked.empty else ranked.iloc[0],
        not_judged="; ".join(reasons.astype(str)),
        next_hire=_next_hire(appraisal, hull_id),
        anodes=anodes.sort_values("risk", ascending=False, kind="stable").reset_index(drop=True),
        looks=_looks(appraisal, hull_id),
        courses=_courses(appraisal, hull_id),
        past=_past(appraisal, hull_id),
        marks=_marks(appraisal, hull_id),
        hours=_weekly_hours(appraisal, hull_id),
        history=hull_history(appraisal.logbook, appraisal.checked, hull_id),
    )


def _text(value: object) -> str:
    return value if isinstance(value, str) else ""


def _berth(appraisal: Appraisal, hull_id: str) -> pd.Series | None:
    berths = appraisal.checked.berths
    own = berths[(berths["hull_id"] == hull_id) & (berths["since"] <= appraisal.forecast.on)]
    return None if own.empty else own.sort_values("since", kind="stable").iloc[-1]


def _next_hire(appraisal: Appraisal, hull_id: str) -> pd.Timestamp | None:
    starts = next_hires(appraisal.checked.bookings, appraisal.forecast.on)
    return starts.get(hull_id)


def _looks(appraisal: Appraisal, hull_id: str) -> pd.DataFrame:
    """Give each reading its size with both ends of its 80 % range."""
    table = appraisal.checked.readings
    since = after_days(appraisal.forecast.on, -DRAWN_BACK_DAYS, appraisal.logbook.settings.timezone)
    table = table[(table["hull_id"] == hull_id) & (table["read_at"] >= since)]
    measured = table["size_mm"].notna()
    middle = table["size_mm"].fillna((table["size_low_mm"] + table["size_high_mm"]) / 2)
    error = Z80 * reading_error_mm(appraisal)
    kind = np.select(
        [table["doubtful"].astype(bool), measured, middle.notna()],
        ["doubtful", "caliper", "by eye"],
        "verdict",
    )
    looks = pd.DataFrame(
        {
            "position": table["position"],
            "at": table["read_at"],
            "low_mm": table["size_low_mm"].where(~measured, middle - error),
            "size_mm": middle,
            "high_mm": table["size_high_mm"].where(~measured, middle + error),
            "kind": kind,
            "verdict": table["verdict"],
            "note": table["note"],
        }
    )
    return looks.sort_values("at", kind="stable").reset_index(drop=True)


def reading_error_mm(appraisal: Appraisal) -> float:
    """Give one standard deviation of a caliper reading, mm, as fitted to this fleet."""
    return float(appraisal.fit.evaluation.rates.reading_mm)


def _courses(appraisal: Appraisal, hull_id: str) -> pd.DataFrame:
    """Turn the forecast of worn into sizes with an 80 % band, up to and past the limit."""
    forecast = appraisal.forecast
    zone = appraisal.logbook.settings.timezone
    at = _moments([after_days(forecast.on, days, zone) for days in forecast.day_grid])
    places = np.flatnonzero((forecast.anodes["hull_id"] == hull_id).to_numpy())
    position = forecast.anodes["position"].to_numpy()
    new_mm = forecast.anodes["new_size_mm"].to_numpy(dtype=float)
    allowance_mm = new_mm - forecast.anodes["limit_size_mm"].to_numpy(dtype=float)
    parts = [pd.DataFrame({"position": position[:0], "at": at[:0], **dict.fromkeys(_ENDS, 0.0)})]
    for place in places[np.isfinite(forecast.worn_mean[places, 0])]:
        mean, sd = forecast.worn_mean[place], forecast.worn_sd[place]
        # metal does not grow: an edge that rises while the use ahead gets vaguer is held
        sizes = {
            name: np.minimum.accumulate(new_mm[place] - allowance_mm[place] * (mean + z * sd))
            for name, z in _ENDS.items()
        }
        part = pd.DataFrame({"position": position[place], "at": at, **sizes})
        parts.append(part[_until_past(mean - Z80 * sd, forecast.day_grid)])
    return pd.concat(parts[1:] or parts, ignore_index=True)


def _moments(moments: list[pd.Timestamp]) -> pd.DatetimeIndex:
    return pd.DatetimeIndex(moments).tz_convert("UTC").as_unit("us")


def _past(appraisal: Appraisal, hull_id: str) -> pd.DataFrame:
    """Follow each anode in service through its looks, to where the way ahead begins."""
    forecast, fit = appraisal.forecast, appraisal.life
    anodes, lives = forecast.anodes, fit.lives.lives
    on_h = float(hours_since_epoch(pd.DatetimeIndex([forecast.on]))[0])
    parts = [pd.DataFrame(columns=["position", "at", *_ENDS, "looked"])]
    for row in np.flatnonzero((anodes["hull_id"] == hull_id).to_numpy()):
        position = anodes["position"].iloc[row]
        same = (lives["hull_id"] == hull_id) & (lives["position"] == position)
        own = np.flatnonzero((same & (lives["ended"] == "in service")).to_numpy())
        if not own.size or not np.isfinite(forecast.worn_mean[row, 0]):
            continue
        start_h = float(lives["start_h"].iloc[own[-1]])
        at_h = np.linspace(min(start_h, on_h), on_h, PAST_POINTS)
        place = int(np.flatnonzero(fit.model.design.steps.lives == own[-1])[0])
        between = worn_between_looks(fit, place, at_h)
        if abs(between.worn[-1] - forecast.worn_mean[row, 0]) > APART:
            continue
        sd = _joined(between, at_h, float(forecast.worn_sd[row, 0]))
        new_mm, limit_mm = (float(anodes[c].iloc[row]) for c in ("new_size_mm", "limit_size_mm"))
        sizes = {
            n: new_mm - (new_mm - limit_mm) * (between.worn + z * sd) for n, z in _ENDS.items()
        }
        at = pd.to_datetime((at_h * 3.6e9).astype("int64"), unit="us", utc=True)
        looked = at_h <= between.last_look_h
        parts.append(pd.DataFrame({"position": position, "at": at, **sizes, "looked": looked}))
    return pd.concat(parts[1:] or parts, ignore_index=True)


APART = 0.15
"""Share of the allowance by which a course through the looks may end elsewhere than the way ahead
begins. What is further apart was fitted to other wear than this anode's (an alloy that dissolves
in its water, read from its own looks alone): a line beside its looks would mislead."""


def _joined(between: Between, at_h: Floats, sd_now: float) -> Floats:
    """Let the spread since the last look end in the forecast's, which counts more in.

    The forecast adds what is not known of the fleet's own rates and that wear comes unevenly; its
    excess is spread over the wear since the last look.
    """
    since = at_h > between.last_look_h if np.isfinite(between.last_look_h) else at_h >= at_h[0]
    first = between.clock[~since][-1] if (~since).any() else 0.0
    share = np.where(since, between.clock - first, 0.0) / max(between.clock[-1] - first, 1e-12)
    more = np.maximum(sd_now**2 - between.sd[-1] ** 2, 0.0)
    return np.asarray(np.sqrt(between.sd**2 + more * np.clip(share, 0.0, 1.0)))


PAST_LIMIT_DAYS = 21.0


def _until_past(slowest: Floats, days: Floats) -> npt.NDArray[np.bool_]:
    """Keep the days until even the slow edge is three weeks past the limit, four at least."""
    past = np.flatnonzero(slowest > 1.0)
    last = days[past[0]] + PAST_LIMIT_DAYS if past.size else days[-1]
    keep: npt.NDArray[np.bool_] = days <= min(max(last, 28.0), 240.0)
    return keep


def _marks(appraisal: Appraisal, hull_id: str) -> pd.DataFrame:
    fittings = appraisal.checked.fittings
    berths = appraisal.checked.berths.sort_values("since", kind="stable")
    own = fittings[fittings["hull_id"] == hull_id]
    moves = berths[berths["hull_id"] == hull_id].iloc[1:]
    changed = pd.DataFrame({"position": own["position"], "at": own["fitted_at"], "label": "new"})
    moved = pd.DataFrame({"at": moves["since"], "label": "to " + moves["mooring_id"].astype(str)})
    moved = moved.merge(own[["position"]].drop_duplicates(), how="cross")
    marks = pd.concat([part for part in (changed, moved) if len(part)] or [changed])
    since = after_days(appraisal.forecast.on, -DRAWN_BACK_DAYS, appraisal.logbook.settings.timezone)
    return marks[marks["at"] >= since].sort_values("at", kind="stable").reset_index(drop=True)


def _weekly_hours(appraisal: Appraisal, hull_id: str) -> pd.DataFrame:
    """Add up the hours of each clock over the last weeks, drying as the fit has it."""
    exposure, on = appraisal.exposure, appraisal.forecast.on
    zone = appraisal.logbook.settings.timezone
    edges = _moments([after_days(on, -7 * ago, zone) for ago in range(WEEKS_OF_HOURS, -1, -1)])
    code = exposure.hull_ids.get_indexer(pd.Index([hull_id]))[0]
    if code < 0:
        return pd.DataFrame(columns=["week", "clock", "hours"])
    hull = np.full(len(edges), code)
    totals = exposure.until(hull, hours_since_epoch(edges))
    drying = totals.drying @ drying_weights(appraisal.life.results.evaluation.rates.log_tau).weight
    by_cell = np.diff(np.concatenate([totals.plain, drying], axis=1), axis=0)
    states = exposure.cells["state"].to_numpy()
    by_clock = {words: by_cell[:, states == state].sum(axis=1) for state, words in CLOCKS.items()}
    return (
        pd.DataFrame(by_clock, index=edges[:-1])
        .melt(var_name="clock", value_name="hours", ignore_index=False)
        .rename_axis("week")
        .reset_index()
    )
