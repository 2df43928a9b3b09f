"""Fleets of any number of hulls, made in arrays: 400 days, some 460 outings and 80 looks a hull.

`python -m tests.bench.wide_fleet HULLS FOLDER` writes one. Hulls are hired out by season, rinsed by
habit, looked at every three to four weeks; an anode found nearly spent is changed. Wear follows
engine hours, salty hours that dry out, and hours afloat, warmed by the season; hulls and anodes
have paces of their own. Rates are common practice, no source: what counts here is the size.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]

FIRST = pd.Timestamp("2031-03-01", tz="UTC")
DAYS, AHEAD_DAYS = 400, 60
END = FIRST + pd.Timedelta(days=DAYS)
SLOTS_H = np.array([9.0, 12.75, 16.5])
OUT_CHANCE = 0.52
"""Of one slot of a high-season day; some 460 outings a hull come of it in 400 days."""
WATERS = ("salt", "salt", "brackish", "fresh")
RUNNING = np.array([0.0055, 0.0055, 0.0030, 0.0004])
UNFLUSHED = np.array([0.0009, 0.0009, 0.0004, 0.0])
AFLOAT = np.array([0.0005, 0.0005, 0.0003, 0.00007])
WARMTH, DRYING_H = 0.025, 26.0
POSITIONS = pd.DataFrame(
    [
        *(("jet", "pencil", "engine", "diameter", 10.3, 7.2, 2.0),),
        *(("jet", "block-fore", "engine", "length", 15.7, 10.3, 1.3),),
        *(("jet", "block-aft", "engine", "length", 15.3, 10.0, 1.1),),
        *(("jet", "plate", "hull", "thickness", 16.6, 11.0, 1.2),),
        *(("jet", "collar", "hull", "thickness", 9.9, 6.1, 0.9),),
        *(("drive", "pencil", "engine", "diameter", 11.8, 8.3, 2.0),),
        *(("drive", "plug", "engine", "length", 12.8, 8.3, 1.0),),
        *(("drive", "manifold", "engine", "length", 11.5, 7.5, 0.8),),
        *(("drive", "bar", "hull", "thickness", 18.1, 12.0, 1.3),),
        *(("drive", "transom", "hull", "thickness", 12.0, 7.5, 0.9),),
    ],
    columns=[
        *("layout", "position", "circuit", "gauge", "new_size_mm", "limit_size_mm", "per_mm"),
    ],
)
READING_MM, CHANGED_AT = 0.12, 0.85


@dataclass(frozen=True)
class _Hulls:
    """Codes of layout and mooring, whether afloat, and habits, each of shape (hulls,)."""

    layout: Codes
    mooring: Codes
    water: Codes
    afloat: npt.NDArray[np.bool_]
    popular: Floats
    rinsing: Floats


@dataclass(frozen=True)
class _Trips:
    """Outings by hull and time, hours since the first day; `ahead` ones are booked alone."""

    hull: Codes
    start_h: Floats
    stop_h: Floats
    engine_h: Floats
    flush_h: Floats
    wet_h: Floats


def write_wide_fleet(folder: Path, hulls: int, seed: int = 5, moorings: int = 4) -> Path:
    """Write the logs of so many hulls, each log a file; returns the folder."""
    rng = np.random.default_rng([seed, hulls])
    each = _draw_hulls(rng, hulls, moorings)
    trips = _draw_trips(rng, each)
    logs = _registers(each, moorings) | _use(rng, trips) | _looks(rng, each, trips)
    folder.mkdir(parents=True, exist_ok=True)
    for log, table in logs.items():
        (folder / log).mkdir(exist_ok=True)
        table.to_parquet(folder / log / f"{log}.parquet")
    (folder / "fleet.toml").write_text(
        f'name = "{hulls} hulls, simulated"\ntimezone = "UTC"\nsimulated = true\n', "utf-8"
    )
    return folder


def hull_name(code: int) -> str:
    """Return the name of a hull."""
    return f"H{code:05d}"


def _draw_hulls(rng: np.random.Generator, hulls: int, moorings: int) -> _Hulls:
    mooring = rng.integers(0, moorings, hulls)
    return _Hulls(
        rng.integers(0, 2, hulls),
        mooring,
        mooring % len(WATERS),
        rng.random(hulls) < 0.4,
        rng.uniform(0.75, 1.25, hulls),
        rng.beta(3, 2, hulls),
    )


def _season(days: Floats) -> Floats:
    """Return the pull of the season, 1 in July."""
    day_of_year = (FIRST.day_of_year + days) % 365.25
    return np.asarray(0.75 + 0.25 * np.cos(2 * np.pi * (day_of_year - 205) / 365.25))


def _draw_trips(rng: np.random.Generator, each: _Hulls) -> _Trips:
    days = np.arange(DAYS + AHEAD_DAYS)
    chance = OUT_CHANCE * each.popular[:, None] * _season(days.astype(float))
    # a hull at a time would be slow, all at once large: float32 halves it
    dice = rng.random((len(chance), days.size, SLOTS_H.size), dtype=np.float32)
    hull, day, slot = np.nonzero(dice < chance[:, :, None])
    start = day * 24 + SLOTS_H[slot] + _minutes(rng.uniform(0, 0.8, hull.size))
    stop = start + _minutes(np.clip(rng.normal(2.05, 0.3, hull.size), 0.8, 2.7))
    engine = np.round((stop - start) * np.clip(rng.normal(0.86, 0.05, hull.size), 0.5, 0.99), 1)
    own = np.append(hull[1:] == hull[:-1], False)
    following = np.where(own, np.append(start[1:], np.inf), np.inf)
    last = ~(following < start + 20)
    rinsed = rng.random(hull.size) < each.rinsing[hull] * np.where(last, 1.0, 0.1)
    delay = np.minimum(0.2 + rng.exponential(0.5, hull.size), 3.0)
    flush = np.where(rinsed, _minutes(np.minimum(stop + delay, following - 0.1)), np.nan)
    wet = np.minimum(np.where(rinsed, flush, following), stop + 2000) - stop
    return _Trips(hull, start, stop, engine, flush, np.maximum(wet, 0.0))


def _minutes(hours: Floats) -> Floats:
    return np.asarray(np.round(hours * 60) / 60)


def _moments(hours: Floats) -> pd.DatetimeIndex:
    micros = np.round(hours * 3600).astype(np.int64) * 1_000_000
    first = FIRST.value // 1000
    return pd.to_datetime(first + micros, unit="us", utc=True).as_unit("us")


def _names(codes: Codes) -> pd.Series:
    names = np.array([hull_name(code) for code in range(int(codes.max()) + 1)], dtype=object)
    return pd.Series(names[codes])


def _registers(each: _Hulls, moorings: int) -> dict[str, pd.DataFrame]:
    hull_ids = _names(np.arange(each.layout.size))
    names = np.array([f"M{code:02d}" for code in range(moorings)], dtype=object)
    layouts = POSITIONS["layout"].unique()
    rng = np.random.default_rng(1)
    sampled = np.tile(np.arange(0, DAYS, 7) + 0.4, moorings)
    return {
        "hulls": pd.DataFrame(
            {"hull_id": hull_ids, "layout": layouts[each.layout], "in_service": FIRST}
        ),
        "moorings": pd.DataFrame(
            {
                "mooring_id": names,
                "water": np.array(WATERS, dtype=object)[np.arange(moorings) % len(WATERS)],
            }
        ),
        "berths": pd.DataFrame(
            {
                "hull_id": hull_ids,
                "mooring_id": names[each.mooring],
                "stays": np.where(each.afloat, "afloat", "lifted"),
                "since": FIRST,
            }
        ),
        "anode_positions": POSITIONS.drop(columns="per_mm").assign(
            alloy="aluminium", access_minutes=30.0, swap_minutes=15.0
        ),
        "water_samples": pd.DataFrame(
            {
                "mooring_id": np.repeat(names, sampled.size // moorings),
                "sampled_at": _moments(sampled * 24),
                "temperature_c": _water_c(sampled) + rng.normal(0, 0.5, sampled.size),
            }
        ),
    }


def _water_c(days: Floats) -> Floats:
    day_of_year = FIRST.day_of_year + days
    return np.asarray(15.0 + 6.0 * np.cos(2 * np.pi * (day_of_year - 225) / 365.25))


def _use(rng: np.random.Generator, trips: _Trips) -> dict[str, pd.DataFrame]:
    past = trips.stop_h <= DAYS * 24
    flushed = past & (trips.flush_h <= DAYS * 24)
    booked = rng.random(past.size) < 0.88
    hull = _names(trips.hull)
    return {
        "outings": pd.DataFrame(
            {
                "hull_id": hull[past].array,
                "started": _moments(trips.start_h[past]),
                "ended": _moments(trips.stop_h[past]),
                "engine_hours": trips.engine_h[past],
            }
        ),
        "flushes": pd.DataFrame(
            {
                "hull_id": hull[flushed].array,
                "flushed_at": _moments(trips.flush_h[flushed]),
                "minutes": np.round(rng.uniform(5, 15, int(flushed.sum()))),
            }
        ),
        "bookings": pd.DataFrame(
            {
                "hull_id": hull[booked].array,
                "starts": _moments(np.floor(trips.start_h[booked] * 2) / 2),
                "ends": _moments(np.ceil(trips.stop_h[booked] * 2) / 2),
                "engine_hours": np.round(1.76 * np.exp(rng.normal(0, 0.1, int(booked.sum()))), 1),
            }
        ),
    }


def _surface(each: _Hulls, trips: _Trips) -> tuple[Floats, Floats]:
    """Return mm of surface lost until each midnight on engine and hull circuits, (hulls, days)."""
    size, days = each.layout.size, DAYS + AHEAD_DAYS + 1
    warm = np.exp(WARMTH * (_water_c(np.arange(days)) - 15.0))
    cell = trips.hull * days + (trips.stop_h // 24).astype(np.intp)
    dry = DRYING_H * -np.expm1(-trips.wet_h / DRYING_H)

    def daily(values: Floats) -> Floats:
        return np.bincount(cell, values, minlength=size * days).reshape(size, days).astype(float)

    run, wet, out = daily(trips.engine_h), daily(dry), daily(trips.stop_h - trips.start_h)
    w = each.water
    engine = RUNNING[w][:, None] * run + UNFLUSHED[w][:, None] * wet
    lying = np.where(each.afloat, AFLOAT[w], 0.0)[:, None] * (24.0 - out)
    hull = 0.2 * RUNNING[w][:, None] * run + lying
    return np.cumsum(engine * warm, axis=1), np.cumsum(hull * warm, axis=1)


def _looks(rng: np.random.Generator, each: _Hulls, trips: _Trips) -> dict[str, pd.DataFrame]:
    """Go through the visits, all hulls at once: measure, and change what is nearly spent."""
    engine, outside = _surface(each, trips)
    size, per_layout = each.layout.size, len(POSITIONS) // 2
    position = each.layout[:, None] * per_layout + np.arange(per_layout)
    on_engine = (POSITIONS["circuit"] == "engine").to_numpy(bool)[position]
    allowance = (POSITIONS["new_size_mm"] - POSITIONS["limit_size_mm"]).to_numpy(float)[position]
    pace = POSITIONS["per_mm"].to_numpy(float)[position] / allowance
    pace *= np.clip(1 + 0.22 * rng.normal(size=(size, 1)), 0.3, None)
    pace *= np.clip(1 + 0.09 * rng.normal(size=position.shape), 0.3, None)
    worn, before = np.zeros(position.shape), np.zeros(position.shape)
    visit = rng.integers(14, 29, size)
    rows = [(np.zeros(0, np.intp), np.zeros(0, np.intp), np.zeros(0), np.zeros(0))]
    fitted = [(np.arange(size).repeat(per_layout), position.ravel(), np.zeros(position.size))]
    while (visit < DAYS).any():
        at = np.flatnonzero(visit < DAYS)
        day = visit[at] - 1  # looked at in the morning
        total = np.where(on_engine[at], engine[at, day][:, None], outside[at, day][:, None])
        due = pace[at] * (total - before[at])
        worn[at] += due + 0.04 * np.sqrt(np.maximum(due, 0)) * rng.normal(size=due.shape)
        before[at] = total
        size_mm = POSITIONS["new_size_mm"].to_numpy(float)[position[at]] - worn[at] * allowance[at]
        size_mm = np.round(size_mm + READING_MM * rng.normal(size=due.shape), 2)
        hour = np.repeat(visit[at] * 24.0 + 7.0, per_layout)
        hull = at.repeat(per_layout)
        rows.append((hull, position[at].ravel(), hour, np.maximum(size_mm, 0.0).ravel()))
        spent = (worn[at] > CHANGED_AT).ravel()
        fitted.append((hull[spent], position[at].ravel()[spent], hour[spent] + 0.25))
        worn[at] = np.where(worn[at] > CHANGED_AT, 0.0, worn[at])
        visit = visit + rng.integers(20, 29, size)
    hull, where, hour, size_mm = (np.concatenate(part) for part in zip(*rows, strict=True))
    fit_hull, fit_where, fit_hour = (np.concatenate(p) for p in zip(*fitted, strict=True))
    positions = POSITIONS["position"].to_numpy(object)
    return {
        "readings": pd.DataFrame(
            {
                "hull_id": _names(hull),
                "position": positions[where],
                "read_at": _moments(hour),
                "size_mm": size_mm,
            }
        ),
        "fittings": pd.DataFrame(
            {
                "hull_id": _names(fit_hull),
                "position": positions[fit_where],
                "fitted_at": _moments(fit_hour),
            }
        ),
    }


if __name__ == "__main__":
    print(write_wide_fleet(Path(sys.argv[2]), int(sys.argv[1])))
