"""The track record: no peeking, nothing made twice, and scores that a hand can check."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from corrosion.common.errors import Refusal, TooLittle
from corrosion.forecast.appraisal import appraise
from corrosion.forecast.backtest import sharing, track_record
from corrosion.forecast.backtest.forecasts import as_known, forecasts_of
from corrosion.forecast.backtest.outcomes import judged
from corrosion.forecast.backtest.runner import Record
from corrosion.forecast.backtest.scores import (
    coverage,
    horizons,
)
from corrosion.forecast.backtest.spans import HORIZONS_DAYS
from corrosion.forecast.backtest.turns import turn
from corrosion.forecast.backtest.weeks import keys, mondays
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs
from tests.unit.forecast.said_rows import said

pytestmark = pytest.mark.slow

END = "2031-08-25"


def _fleet() -> FleetLogs:
    """Six hulls at an estuary, one pencil each, looked at every three weeks and changed twice."""
    fleet = FleetLogs().mooring("E", "salt").position("pencil", gauge="diameter")
    fleet.setting(simulated=True, timezone="Europe/Lisbon")
    for number in range(6):
        hull = f"H{number}"
        fleet.hull(hull).berth(hull, "E", "lifted").season(hull, "2031-04-02", 145, flushed=True)
        size = 9.0
        fleet.fitting(hull, "pencil", "2031-04-01 06:00")
        for day in pd.date_range("2031-04-10", END, freq="21D"):
            size -= 0.55 + 0.05 * number
            fleet.reading(hull, "pencil", f"{day:%Y-%m-%d} 07:00", round(size, 2))
            if size < 6.6:
                fleet.fitting(hull, "pencil", f"{day:%Y-%m-%d} 07:30")
                size = 9.0
    return fleet


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _fleet().write(tmp_path_factory.mktemp("record"))


@pytest.fixture(scope="module")
def record(folder, tmp_path_factory):
    return track_record(folder, weeks=3, place=tmp_path_factory.mktemp("kept"))


# ---- no peeking ----------------------------------------------------------------------------


@pytest.mark.parametrize("moment", ["2031-06-09", "2031-07-07T05:00:00Z"])
def test_what_was_said_is_what_an_appraisal_of_that_moment_says(folder, moment):
    week = pd.to_datetime(moment, utc=True)
    forecasts = forecasts_of(folder, week).set_index(["hull_id", "position"])
    for days in HORIZONS_DAYS:
        now = appraise(folder, week, days).forecast.anodes.set_index(["hull_id", "position"])
        np.testing.assert_allclose(
            forecasts[f"risk_{days}"], now["risk"].reindex(forecasts.index), rtol=1e-9
        )
        np.testing.assert_allclose(
            forecasts["mean_0"], now["worn"].reindex(forecasts.index), rtol=1e-9
        )


def test_what_was_said_is_the_same_from_logs_that_were_cut_then(folder, tmp_path):
    week = pd.Timestamp("2031-07-07", tz="UTC")
    whole = forecasts_of(folder, week)
    cut = FleetLogs(settings={"simulated": True, "timezone": "Europe/Lisbon"})
    times = {"outings": "ended", "flushes": "flushed_at", "readings": "read_at"}
    for log, rows in _fleet().rows.items():
        time = times.get(log, "fitted_at" if log == "fittings" else "")
        for row in rows:
            if not time or pd.Timestamp(row[time], tz="UTC") <= week:
                cut.add(log, **row)
    pd.testing.assert_frame_equal(whole, forecasts_of(cut.write(tmp_path), week))


def test_a_hire_that_was_entered_later_is_not_known_before(tmp_path):
    hire = {"engine_hours": 60.0, "entered_at": "2031-07-20 08:00"}
    week = pd.Timestamp("2031-07-07", tz="UTC")
    without = forecasts_of(_fleet().write(tmp_path / "a"), week)
    fleet = _fleet().booking("H1", "2031-07-10 08:00", "2031-07-14 18:00", **hire)
    late = forecasts_of(fleet.write(tmp_path / "b"), week)
    pd.testing.assert_frame_equal(without, late)


# ---- kept, not made twice ------------------------------------------------------------------


def test_hires_count_for_ten_weeks_of_the_calendar_over_a_clock_change(tmp_path):
    # clocks go forward in Lisbon on 2031-03-30; ten weeks from Monday end as a Monday begins
    week = pd.Timestamp("2031-03-10", tz="Europe/Lisbon").tz_convert("UTC")
    fleet = _fleet()
    fleet.booking("H1", "2031-05-18 22:30", "2031-05-19 01:00")
    was = read_fleet(fleet.write(tmp_path / "was"))
    fleet.booking("H1", "2031-05-18 23:30", "2031-05-19 01:00")
    now = read_fleet(fleet.write(tmp_path / "now"))
    assert len(as_known(read_fleet(tmp_path / "now", week)).bookings) == 1
    assert keys(now, [week]) == keys(was, [week])


def test_a_record_asked_for_again_is_remembered_and_the_same(folder, tmp_path):
    first = track_record(folder, weeks=3, place=tmp_path)
    again = track_record(folder, weeks=3, place=tmp_path)
    assert (first.made, again.made) == (3, 0)
    pd.testing.assert_frame_equal(first.judged, again.judged)


def test_a_new_reading_leaves_the_weeks_before_it_as_they_are(tmp_path):
    fleet = _fleet()
    folder = fleet.write(tmp_path / "fleet")
    before = keys(read_fleet(folder, END), mondays(read_fleet(folder, END), 4))
    fleet.reading("H1", "pencil", "2031-08-12 07:00", 8.0).write(tmp_path / "more")
    after = keys(read_fleet(tmp_path / "more", END), mondays(read_fleet(folder, END), 4))
    changed = [week for week in before if before[week] != after[week]]
    assert [f"{week:%m-%d}" for week in changed] == ["08-17", "08-24"]  # UTC of Lisbon's Mondays


def test_weeks_shared_out_between_processes_are_the_weeks_made_alone(folder, record, tmp_path):
    shared = track_record(folder, weeks=5, place=tmp_path)
    both = shared.judged["week"].isin(record.judged["week"])
    pd.testing.assert_frame_equal(shared.judged[both].reset_index(drop=True), record.judged)


def test_ten_who_ask_at_once_have_one_record_made_and_all_get_it(folder, tmp_path):
    """Ten presses of the button once were 20 processes and 4.7 GB."""
    waited: list[tuple[int, int]] = []

    def ask(_press: int) -> Record:
        return track_record(folder, weeks=2, place=tmp_path, progress=lambda *at: waited.append(at))

    with ThreadPoolExecutor(10) as presses:
        records = list(presses.map(ask, range(10)))
    assert sorted(record.made for record in records) == [0] * 9 + [2]
    assert (0, 1) in waited, "who waits is told so, and can be stopped"
    for record in records:
        pd.testing.assert_frame_equal(record.judged, records[0].judged)


def test_a_turn_ends_with_its_holder_and_waiting_can_be_given_up(tmp_path):
    def give_up() -> None:
        raise TimeoutError("enough")

    lock = tmp_path / "kept" / "record.lock"
    with turn(lock, give_up), pytest.raises(TimeoutError, match="enough"), turn(lock, give_up):
        pass
    with turn(lock, give_up):
        pass


@pytest.mark.parametrize(
    ("bound", "value", "words"),
    [("MEMORY_SHARE", 0.001, "MB of memory"), ("MOST_CPU_S", 1, "minutes of a core")],
)
def test_a_share_that_takes_too_much_is_refused_in_plain_words(
    folder, tmp_path, monkeypatch, bound, value, words
):
    """The real processes, with a bound far below what they need."""
    monkeypatch.setattr(sharing, bound, value)
    (tmp_path / "sitecustomize.py").write_text(
        f"import corrosion.forecast.backtest.sharing as s\ns.{bound} = {value}\n"
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with pytest.raises(Refusal, match=words):
        track_record(folder, weeks=8, place=tmp_path / "kept")


def test_too_few_readings_for_a_record_are_said_so(tmp_path):
    fleet = FleetLogs().mooring("E", "salt").position("pencil").hull("H1").berth("H1", "E")
    fleet.fitting("H1", "pencil", "2031-04-01").reading("H1", "pencil", "2031-04-20", 8.9)
    with pytest.raises(TooLittle, match="no four weeks of readings"):
        track_record(fleet.write(tmp_path), "2031-04-30", place=tmp_path / "kept")


# ---- use and wear --------------------------------------------------------------------------


def _with_use(tmp_path: Path, hours_a_day: float) -> pd.Series:
    fleet = FleetLogs().mooring("E", "salt").position("pencil").hull("H1").berth("H1", "E")
    fleet.fitting("H1", "pencil", "2031-04-01")
    for day in pd.date_range("2031-05-05", periods=20):
        fleet.outing("H1", f"{day:%Y-%m-%d} 09:00", hours=5.0, engine_hours=hours_a_day)
    fleet.reading("H1", "pencil", "2031-05-25", 6.5)
    checked = check_logs(read_fleet(fleet.write(tmp_path), END))
    return judged(said(), checked).iloc[0]


@pytest.mark.parametrize(("hours_a_day", "times"), [(2.0, 1.0), (4.0, 2.0), (1.0, 0.5)])
def test_what_would_have_been_said_with_the_hours_that_were_run(tmp_path, hours_a_day, times):
    row = _with_use(tmp_path, hours_a_day)
    assert row["engine_h_said"] == pytest.approx(40.0)
    assert row["engine_h_run"] == pytest.approx(40.0 * times)
    # by hand: worn 0.8 after 20 days, of which 0.16 go with the hours; their spread is known then
    mean, sd = 0.8 + 0.16 * (times - 1), np.sqrt(0.05**2 + 0.04**2 - (0.16 * 0.2) ** 2)
    assert row["chance_used"] == pytest.approx(stats.norm.sf((1 - mean) / sd))
    assert row["chance"] == pytest.approx(stats.norm.sf(0.2 / np.hypot(0.05, 0.04)))


# ---- what a look can tell ------------------------------------------------------------------


def _seen(tmp_path: Path, *looks: tuple[str, float], fitted: str = "", on: str = END) -> pd.Series:
    fleet = FleetLogs().mooring("E", "salt").position("pencil").hull("H1").berth("H1", "E")
    fleet.fitting("H1", "pencil", "2031-04-01")
    for day, size in looks:
        fleet.reading("H1", "pencil", day, size)
    if fitted:
        fleet.fitting("H1", "pencil", fitted)
    checked = check_logs(read_fleet(fleet.write(tmp_path), on))
    return judged(said(), checked).iloc[0]


def test_worn_found_within_the_horizon_counts_as_worn(tmp_path):
    row = _seen(tmp_path, ("2031-05-01", 7.5), ("2031-05-20", 6.3))
    assert (row["how_28"], row["found_28"], row["next_found"]) == ("worn", 1.0, 1.0)
    assert row["next_days"] == pytest.approx(15.0)


def test_sound_found_after_the_horizon_counts_as_sound(tmp_path):
    row = _seen(tmp_path, ("2031-05-01", 7.5), ("2031-06-20", 6.9))
    assert (row["how_28"], row["found_28"]) == ("sound", 0.0)


def test_a_limit_crossed_between_two_looks_counts_by_its_chance(tmp_path):
    # from 6.92 on 25 May to 5.88 on 14 June; the horizon ends on 2 June, 8 of 20 days on, where
    # the line stands at 6.504 mm, 0.04 of the allowance of 2.6 mm above the limit of 6.4
    row = _seen(tmp_path, ("2031-05-25", 6.92), ("2031-06-14", 5.88))
    assert row["how_28"] == "between"
    assert row["found_28"] == pytest.approx(stats.norm.cdf(-0.04 / 0.04), abs=1e-3)


def test_an_anode_pulled_before_the_end_is_not_judged_and_counted(tmp_path):
    row = _seen(tmp_path, ("2031-05-15", 6.8), fitted="2031-05-15 09:00")
    assert row["how_28"] == "pulled"
    assert np.isnan(row["found_28"])
    assert row["next_found"] == 0.0


@pytest.mark.parametrize(("on", "how"), [("2031-05-20", "open"), (END, "unread")])
def test_a_forecast_without_a_look_since_is_open_or_unread(tmp_path, on, how):
    row = _seen(tmp_path, ("2031-05-01", 7.5), on=on)
    assert row["how_28"] == how
    assert np.isnan(row["next_found"])


def test_the_chance_for_the_next_look_takes_its_reading_error_in(tmp_path):
    row = _seen(tmp_path, ("2031-05-19", 7.0))
    mean, sd = 0.74, np.hypot(0.05, 0.04)
    assert row["chance"] == pytest.approx(stats.norm.sf((1 - mean) / sd), rel=1e-6)
    assert row["high"] - row["low"] == pytest.approx(2 * stats.norm.ppf(0.9) * sd, rel=1e-6)


def test_nothing_is_lost_that_is_not_counted(record):
    table = horizons(record.judged)
    rest = table[["pulled", "unread", "open"]].sum(axis=1)
    assert (table["judged"] + rest == table["forecasts"]).all()
    assert (coverage(record.judged)["held"] <= coverage(record.judged)["judged"]).all()
