"""What was written down: the logs of the contract, made from what was drawn."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pandas as pd

from demo_fleet.writing import arrow_table, write_table

from .anodes import Life, Look
from .craft import ENGINE, Hull, Position
from .plans import FRESH, WATERS, Plan
from .use import Use
from .waters import Mooring

TAKEN = "taken_h"  # not written: when a hire was booked, in hours since the start
AHEAD_DAYS = 60  # how far ahead bookings are taken


class Clock:
    """Turns hours since the start into times of the logs."""

    def __init__(self, start: pd.Timestamp) -> None:
        self.start = start

    def times(self, hours: object) -> pd.Series:
        """UTC times to the second, in microseconds as the logs keep them."""
        seconds = np.round(np.asarray(hours, float) * 3600)
        moments = self.start + pd.to_timedelta(seconds, unit="s")
        return pd.Series(moments).astype("datetime64[us, UTC]")


def register_logs(
    clock: Clock,
    plan: Plan,
    hulls: list[Hull],
    moorings: list[Mooring],
    layouts: Mapping[str, list[Position]],
) -> dict[str, pd.DataFrame]:
    """`hulls`, `moorings`, `berths` and `anode_positions`."""
    return {
        "hulls": _hulls(clock, plan, hulls),
        "moorings": _moorings(moorings),
        "berths": _berths(clock, hulls, moorings),
        "anode_positions": _positions(plan, layouts),
    }


def _hulls(clock: Clock, plan: Plan, hulls: list[Hull]) -> pd.DataFrame:
    gone = [each.leaves_day * 24.0 if each.leaves_day <= plan.days else np.nan for each in hulls]
    return pd.DataFrame(
        {
            "hull_id": [each.hull_id for each in hulls],
            "layout": [each.layout for each in hulls],
            "in_service": clock.times([each.joins_day * 24.0 for each in hulls]),
            "retired": clock.times(gone),
        }
    )


def _moorings(moorings: list[Mooring]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "mooring_id": [each.mooring_id for each in moorings],
            "name": [f"Simulated mooring {each.mooring_id}" for each in moorings],
            "water": [WATERS[each.water] for each in moorings],
            "salinity_g_per_kg": [each.salinity_g_per_kg for each in moorings],
            "flush_point": [each.flush_point for each in moorings],
        }
    )


def _berths(clock: Clock, hulls: list[Hull], moorings: list[Mooring]) -> pd.DataFrame:
    rows = [
        (
            hull.hull_id,
            moorings[berth.mooring].mooring_id,
            "afloat" if berth.afloat else "lifted",
            max(berth.since_h, hull.joins_day * 24.0),
        )
        for hull in hulls
        for berth in hull.berths
    ]
    table = pd.DataFrame(rows, columns=["hull_id", "mooring_id", "stays", "since"])
    return table.assign(since=clock.times(table["since"]))


def _positions(plan: Plan, layouts: Mapping[str, list[Position]]) -> pd.DataFrame:
    places = [each for layout in layouts.values() for each in layout]
    return pd.DataFrame(
        {
            "layout": [each.layout for each in places],
            "position": [each.position for each in places],
            "circuit": ["engine" if each.circuit == ENGINE else "hull" for each in places],
            "alloy": plan.alloy,
            "gauge": [each.gauge for each in places],
            "new_size_mm": [each.new_size_mm for each in places],
            "limit_size_mm": [each.limit_size_mm for each in places],
            "limit_source": "invented for the simulation",
            "access_group": [each.access_group for each in places],
            "access_minutes": 30.0,
            "swap_minutes": 15.0,
        }
    )


def outing_log(
    clock: Clock, hull: Hull, use: Use, moorings: list[Mooring], rng: np.random.Generator
) -> pd.DataFrame:
    """Every outing; where it ran is written down when it was elsewhere, else seven in ten."""
    home = np.array([each.water for each in moorings])[use.mooring]
    water_written = (use.water != home) | (rng.random(len(home)) < 0.7)
    names = pd.Series(np.array(WATERS, dtype=object)[use.water])
    return pd.DataFrame(
        {
            "hull_id": hull.hull_id,
            "started": clock.times(use.start_h),
            "ended": clock.times(use.end_h),
            "engine_hours": np.round(use.engine_h, 1),
            "water": names.where(water_written, None),
            "meter_hours": np.round(np.cumsum(use.engine_h) + 100.0, 1),
        }
    )


def flush_log(clock: Clock, hull: Hull, use: Use, rng: np.random.Generator) -> pd.DataFrame:
    """Rinses, and the notes that none was done."""
    done = len(use.flush_h)
    minutes = np.round(rng.uniform(5, 15, done))
    minutes = minutes if use.flush_minutes is None else use.flush_minutes
    return pd.DataFrame(
        {
            "hull_id": hull.hull_id,
            "flushed_at": clock.times(np.concatenate([use.flush_h, use.not_flushed_h])),
            "minutes": np.concatenate([minutes, np.full(len(use.not_flushed_h), np.nan)]),
            "done": ["yes"] * done + use.not_flushed_why,
        }
    )


def booking_log(
    clock: Clock, hull: Hull, use: Use, plan: Plan, rng: np.random.Generator
) -> pd.DataFrame:
    """Hires taken, to two months beyond the end of the other logs."""
    in_book = use.booking_start_h < (plan.days + AHEAD_DAYS) * 24
    dated = {"entered_at": clock.times(use.booking_taken_h[in_book])} if plan.bookings_dated else {}
    return pd.DataFrame(
        {
            "hull_id": hull.hull_id,
            "starts": clock.times(use.booking_start_h[in_book]),
            "ends": clock.times(use.booking_end_h[in_book]),
            "engine_hours": use.booking_engine_h[in_book],
            "hire_value": np.round(rng.uniform(90, 250, int(in_book.sum()))),
            TAKEN: use.booking_taken_h[in_book],
            **dated,
        }
    )


def fitting_log(clock: Clock, lives: list[Life]) -> pd.DataFrame:
    """Every new anode."""
    return pd.DataFrame(
        {
            "hull_id": [each.hull_id for each in lives],
            "position": [each.position.position for each in lives],
            "fitted_at": clock.times([each.fitted_h for each in lives]),
            "alloy": pd.Series([each.alloy or None for each in lives], dtype=object),
        }
    )


def reading_log(clock: Clock, looks: list[Look]) -> pd.DataFrame:
    """Every look at an anode."""
    cleaned = pd.array([each.cleaned for each in looks], dtype="boolean")
    known = {} if cleaned.isna().all() else {"cleaned": cleaned}
    return pd.DataFrame(
        known
        | {
            "hull_id": [each.hull_id for each in looks],
            "position": [each.position.position for each in looks],
            "read_at": clock.times([each.read_h for each in looks]),
            "size_mm": np.array([each.size_mm for each in looks], float),
            "size_low_mm": np.array([each.size_low_mm for each in looks], float),
            "size_high_mm": np.array([each.size_high_mm for each in looks], float),
            "verdict": pd.Series([each.verdict for each in looks], dtype=object),
            "removed": np.array([each.removed for each in looks], bool),
        }
    )


def water_log(
    clock: Clock, moorings: list[Mooring], days: int, rng: np.random.Generator
) -> pd.DataFrame:
    """A look at each water some twice a week, at any state of the tide."""
    tables = []
    for mooring in moorings:
        time_h = np.arange(0, days, 3.5) * 24 + np.round(rng.uniform(7, 18, -(-days * 2 // 7)), 1)
        noise_c = rng.normal(0, 0.4, len(time_h))
        salinity = mooring.salinity(time_h) * np.exp(rng.normal(0, 0.03, len(time_h)))
        digits = 3 if mooring.water == FRESH else 1
        tables.append(
            pd.DataFrame(
                {
                    "mooring_id": mooring.mooring_id,
                    "sampled_at": clock.times(time_h),
                    "salinity_g_per_kg": np.round(salinity, digits),
                    "temperature_c": np.round(mooring.temperature_c(time_h) + noise_c, 1),
                }
            )[time_h <= days * 24]
        )
    return pd.concat(tables, ignore_index=True)


SETTINGS = """\
name = "Simulated fleet, kind {kind}, seed {seed}"
timezone = "UTC"
length_unit = "mm"
simulated = true
tolerated_risk = 0.10
"""


def write_logs(tables: Mapping[str, pd.DataFrame], kind: str, seed: int, folder: Path) -> Path:
    """Write a fleet folder in the form of the contract; the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "fleet.toml").write_text(SETTINGS.format(kind=kind, seed=seed), encoding="utf-8")
    for log, table in tables.items():
        (folder / log).mkdir(exist_ok=True)
        logged = table.drop(columns=TAKEN, errors="ignore")
        write_table(arrow_table(logged), folder / log / f"{log}.parquet")
    return folder
