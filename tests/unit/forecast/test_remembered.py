"""Asked again after each entry, the fleet is appraised as if nothing were remembered."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from pandas.testing import assert_frame_equal, assert_series_equal

from corrosion.common import Remembered
from corrosion.forecast import Appraisal, appraise, standing
from corrosion.life_model import hull_sample
from corrosion.records import append, entry_names, operator
from corrosion.records.logbook import moments
from corrosion.records.logs import LOGS
from tests.bench.wide_fleet import write_wide_fleet

HOUR = pd.Timedelta(hours=1)
NOISY = {"idle_log_odds": 1e-4, "not_protecting": 1e-6}
"""They rest on densities of Pearson's type III: of a small skew scipy's have lost ten digits,
and say another where the last digit of a parameter is another."""
Entry = Callable[[Path, Appraisal, np.random.Generator], None]


def _write(folder: Path, before: Appraisal, log: str, **cells: object) -> None:
    """Write an entry two days on, so that whatever it tells of lies behind it."""
    now = before.logbook.on + 48 * HOUR
    append(folder, log, pd.DataFrame([cells]), by=operator("yard"), now=now)


def _write_at_once(folder: Path, before: Appraisal, log: str, **cells: object) -> None:
    """Write an entry when the last outing ended: the clock of a simulated fleet hardly moves."""
    now = before.checked.outings["ended"].max()
    append(folder, log, pd.DataFrame([cells]), by=operator("yard"), now=now)


def _one(rows: pd.DataFrame, rng: np.random.Generator) -> pd.Series:
    return rows.iloc[int(rng.integers(len(rows)))]


def _reading(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    row, on = _one(before.checked.readings, rng), before.logbook.on
    _write(
        folder, before, "readings", hull_id=row.hull_id, position=row.position, read_at=on - HOUR,
        size_mm=float(row.size_mm) * rng.choice([1.0, 1.0, 25.4]),
    )  # fmt: skip


def _outing(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    hull, on = _one(before.checked.hulls, rng).hull_id, before.logbook.on
    came = on + float(rng.uniform(1, 40)) * HOUR
    _write(
        folder, before, "outings", hull_id=hull, started=came - 2 * HOUR, ended=came,
        engine_hours=1.5,
    )  # fmt: skip


def _flush(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    row = _one(before.checked.outings, rng)
    _write(
        folder, before, "flushes", hull_id=row.hull_id, flushed_at=row.ended + HOUR / 2, minutes=9.0
    )


def _sample(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    at = before.logbook.on - float(rng.uniform(0, 9000)) * HOUR
    _write(folder, before, "water_samples", mooring_id="M01", sampled_at=at, temperature_c=16.0)


def _fitting(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    row = _one(before.checked.fittings, rng)
    _write(
        folder,
        before,
        "fittings",
        hull_id=row.hull_id,
        position=row.position,
        fitted_at=before.logbook.on,
    )


def _move(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    hull, since = _one(before.checked.hulls, rng).hull_id, before.logbook.on - 300 * HOUR
    _write(folder, before, "berths", hull_id=hull, mooring_id="M02", stays="afloat", since=since)


def _new_hull(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    _write(folder, before, "hulls", hull_id=f"A{rng.integers(10**6)}", layout="jet")


def _struck_out(folder: Path, before: Appraisal, rng: np.random.Generator) -> None:
    log = str(rng.choice(["readings", "outings", "flushes"]))
    rows = before.logbook.tables[log]
    row = int(rng.integers(len(rows)))
    name = entry_names(LOGS[log], rows).iloc[row]
    needed = {column: rows[column].iloc[row] for column in LOGS[log].required}
    _write(folder, before, log, **needed, corrects=name, void=True)


ENTRIES: tuple[Entry, ...] = (
    *(_reading, _outing, _flush, _sample, _fitting, _move, _new_hull, _struck_out, _reading),
)


def _hold_alike(warm: Appraisal, cold: Appraisal, params_within: float = 0.0) -> None:
    assert warm.logbook.on == cold.logbook.on
    for log in LOGS:
        assert_frame_equal(warm.checked.tables[log], cold.checked.tables[log])
        assert_frame_equal(warm.logbook.history[log], cold.logbook.history[log])
    assert_frame_equal(warm.checked.findings, cold.checked.findings)
    assert_frame_equal(warm.checked.objections, cold.checked.objections)
    assert_frame_equal(warm.exposure.outings, cold.exposure.outings)
    away = np.abs(warm.fit.params - cold.fit.params).max()
    assert away <= params_within
    noisy = NOISY if away > 0 else {}
    for told in ("anodes", "hulls"):
        both = [getattr(each.forecast, told) for each in (warm, cold)]
        aside = [name for name in noisy if name in both[0]]
        assert_frame_equal(*(table.drop(columns=aside) for table in both), rtol=0, atol=1e-9)
        for name in aside:
            assert_series_equal(*(table[name] for table in both), rtol=0, atol=noisy[name])


@pytest.mark.slow
@pytest.mark.parametrize(("hulls", "params_within"), [(5, 0.0), (24, 1e-9)])
def test_after_random_entries_warm_answers_are_the_cold_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, hulls: int, params_within: float
) -> None:
    # of 24 hulls a sample climbs first, and does not climb again while nothing of it changes
    for name, value in (("LARGE_HULLS", 20), ("SAMPLE_HULLS", 8), ("LEAST_OF_A_KIND", 2)):
        monkeypatch.setattr(hull_sample, name, value)
    folder = write_wide_fleet(tmp_path / "fleet", hulls, 0)
    rng, last = np.random.default_rng(hulls), Remembered()
    warm = appraise(folder, remembered=last)
    for _ in range(4):
        ENTRIES[int(rng.integers(len(ENTRIES)))](folder, warm, rng)
        on = None if rng.random() < 0.7 else warm.logbook.on - float(rng.uniform(0, 3000)) * HOUR
        if on is not None:
            past = appraise(folder, on, remembered=last)
            _hold_alike(past, appraise(folder, on), params_within)
        warm = appraise(folder, remembered=last)
        assert "ahead-of-entry" not in set(warm.checked.findings["rule"])
        _hold_alike(warm, appraise(folder), params_within)


@pytest.mark.slow
def test_after_a_reading_no_log_but_its_own_is_read_or_matched_again(tmp_path: Path) -> None:
    folder, last = write_wide_fleet(tmp_path / "fleet", 4), Remembered()
    first = appraise(folder, remembered=last)
    _reading(folder, first, np.random.default_rng(1))
    warm = appraise(folder, remembered=last)
    _hold_alike(warm, appraise(folder))
    assert len(warm.checked.logbook.readings) == len(first.checked.logbook.readings) + 1
    for log in ("outings", "flushes", "bookings"):
        assert warm.logbook.tables[log] is first.logbook.tables[log]
        assert warm.checked.tables[log] is first.checked.tables[log]
    assert warm.exposure.outings is first.exposure.outings
    _outing(folder, warm, np.random.default_rng(1))
    after = appraise(folder, remembered=last)
    assert after.exposure.outings is not warm.exposure.outings
    assert len(after.checked.outings) == len(first.checked.outings) + 1
    _hold_alike(after, appraise(folder))


@pytest.mark.slow
def test_another_setting_is_another_fleet_and_two_at_once_do_not_mix(tmp_path: Path) -> None:
    folder, last = write_wide_fleet(tmp_path / "fleet", 4), Remembered()
    appraise(folder, remembered=last)
    settings = folder / "fleet.toml"
    settings.write_text(settings.read_text("utf-8").replace("UTC", "Europe/Lisbon"), "utf-8")
    _hold_alike(appraise(folder, remembered=last), appraise(folder))
    with last.turned() as busy, last.turned() as other:
        assert busy is last
        assert other is not last


def _measured(before: Appraisal, rng: np.random.Generator, ago_h: float) -> dict[str, object]:
    row = _one(before.checked.readings.dropna(subset=["size_mm"]), rng)
    return {
        "hull_id": row.hull_id, "position": row.position,
        "read_at": before.checked.outings["ended"].max() - ago_h * HOUR,
        "size_mm": float(row.size_mm) * rng.choice([0.97, 1.0, 25.4]),
    }  # fmt: skip


@pytest.fixture
def counts_as_large(monkeypatch: pytest.MonkeyPatch) -> None:
    for room, name, value in (
        (hull_sample, "LARGE_HULLS", 12), (hull_sample, "SAMPLE_HULLS", 6),
        (hull_sample, "LEAST_OF_A_KIND", 2), (hull_sample, "MOST_RESTING", 0.5),
        (moments, "MANY_HULLS", 12), (standing, "LEAST_HULLS", 2),
    ):  # fmt: skip
        monkeypatch.setattr(room, name, value)


@pytest.mark.slow
@pytest.mark.usefixtures("counts_as_large")
@pytest.mark.parametrize("seed", range(3))
def test_within_the_hour_and_the_day_of_a_large_fleet_warm_answers_are_the_cold_ones(
    tmp_path: Path, seed: int
) -> None:
    folder = write_wide_fleet(tmp_path / "fleet", 16, seed)
    rng, last = np.random.default_rng(seed), Remembered()
    warm = appraise(folder, remembered=last)
    stood = rested = 0
    for turn in range(8):
        # of now, of this morning, of yesterday; an outing, a fitting and an entry of later between
        if turn in (3, 6):
            (_outing, _fitting)[turn == 6](folder, warm, rng)
        else:
            ago_h = (0.0, 0.0, 1.0, 0.0, 30.0, 0.0, 0.0, 0.0)[turn]
            _write_at_once(folder, warm, "readings", **_measured(warm, rng, ago_h))
        before, warm = warm, appraise(folder, remembered=last)
        stood += warm.exposure is before.exposure
        rested += warm.fit.params is before.fit.params
        _hold_alike(warm, appraise(folder, remembered=Remembered()), 1e-9)
    assert stood >= 4
    assert rested >= 2


@pytest.mark.slow
@pytest.mark.usefixtures("counts_as_large")
def test_old_sheets_typed_in_today_move_their_own_hull_alone_until_midnight(
    tmp_path: Path,
) -> None:
    folder, last = write_wide_fleet(tmp_path / "fleet", 16), Remembered()
    warm, rng = appraise(folder, remembered=last), np.random.default_rng(1)
    on, back = warm.logbook.on, warm.checked.outings["ended"].max()
    for ago_h, changed in ((0.0, False), (30.0, False), (30.0, True), (1000.0, False)):
        sized = warm.checked.readings.dropna(subset=["size_mm"]).sort_values("read_at")
        newest = sized.drop_duplicates(["hull_id", "position"], keep="last")
        row = _one(newest[newest["read_at"] < on - 48 * HOUR], rng)
        at, anode = back - ago_h * HOUR, {"hull_id": row.hull_id, "position": row.position}
        seen = {"size_mm": row.size_mm, "read_at": at, "removed": changed}
        _write_at_once(folder, warm, "readings", **anode, **seen)
        if changed:
            _write_at_once(folder, warm, "fittings", **anode, fitted_at=at)
        before, warm = warm, appraise(folder, remembered=last)
        assert warm.logbook.on == on
        assert warm.fit.params is before.fit.params
        assert warm.life.resting == before.life.resting + 1
        assert len(warm.lives.lives) == len(before.lives.lives) + changed
        _hold_alike(warm, appraise(folder, remembered=Remembered()), 1e-9)
        after, then = (
            each.forecast.anodes.set_index(["hull_id", "position"]) for each in (warm, before)
        )
        moved = (after["worn"] - then["worn"]).abs() > 1e-12
        assert set(moved[moved].index.get_level_values("hull_id")) == {row.hull_id}
    past_midnight = appraise(folder, on + pd.Timedelta(days=1))
    assert not np.array_equal(past_midnight.fit.params, warm.fit.params)
    assert past_midnight.life.resting == 0
