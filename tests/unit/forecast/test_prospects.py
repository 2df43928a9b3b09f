"""Facts and laws of the forecast."""

from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.appraisal import Appraisal, appraise, look_ahead
from corrosion.forecast.crossing import days_until
from corrosion.forecast.prospects import forecast_fleet
from corrosion.forecast.usage_forecast import use_ahead
from corrosion.records.logs import LOGS
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow

ON = "2031-06-01"
TIME_OF = {
    "outings": "ended",
    "flushes": "flushed_at",
    "fittings": "fitted_at",
    "readings": "read_at",
    "water_samples": "sampled_at",
    "berths": "since",
}


def test_chances_lie_strictly_between_0_and_1_and_never_fall_with_the_horizon(
    appraised: Appraisal,
) -> None:
    forecast = appraised.forecast
    for chance in (forecast.chance, forecast.hull_chance):
        assert chance.min() > 0
        assert chance.max() < 1
        assert (np.diff(chance, axis=1) >= 0).all()
    week, two, four = (_risk(appraised, days) for days in (7, 14, 28))
    assert (week <= two).all()
    assert (two <= four).all()
    assert (four > week).any()


def _risk(appraised: Appraisal, days: int) -> pd.Series:
    ahead = use_ahead(appraised.checked, appraised.exposure, days)
    table = forecast_fleet(appraised.life, appraised.checked, ahead, days).hulls
    return table.set_index("hull_id")["risk"].sort_index()


def test_a_hulls_risk_is_at_least_its_worst_anodes_and_at_most_as_if_all_were_apart(
    appraised: Appraisal,
) -> None:
    forecast = appraised.forecast
    for row, hull in enumerate(forecast.hulls["hull_id"]):
        mine = forecast.chance[(forecast.anodes["hull_id"] == hull).to_numpy(bool)]
        assert (forecast.hull_chance[row] >= mine.max(axis=0) - 1e-12).all()
        # anodes that share a rate are worn together: less than one minus the product
        assert (forecast.hull_chance[row] <= 1 - np.prod(1 - mine, axis=0) + 2e-3).all()


def test_hulls_are_ranked_by_risk_and_name_their_worst_anode(appraised: Appraisal) -> None:
    hulls, anodes = appraised.forecast.hulls, appraised.forecast.anodes
    assert list(hulls["rank"]) == list(range(1, len(hulls) + 1))
    assert hulls["risk"].is_monotonic_decreasing
    for row in hulls.itertuples():
        mine = anodes[anodes["hull_id"] == row.hull_id].set_index("position")["risk"]
        assert mine[row.worst_position] == mine.max()


def test_days_left_are_in_order(appraised: Appraisal) -> None:
    anodes = appraised.forecast.anodes
    ten, fifty, ninety = (anodes[f"days_left_{q}"] for q in (10, 50, 90))
    assert (ten <= fifty).all()
    assert (fifty <= ninety).all()
    assert (ten >= 0).all()


def test_days_until_is_found_between_the_days_of_the_grid() -> None:
    days = np.array([0.0, 1.0, 3.0])
    chance = np.array([[0.1, 0.2, 0.6], [0.7, 0.8, 0.9], [0.1, 0.1, 0.1]])
    assert days_until(chance, days, 0.4) == pytest.approx([2.0, 0.0, 3.0])


def test_on_the_pull_by_day_the_risk_is_still_within_the_tolerated(appraised: Appraisal) -> None:
    forecast, on = appraised.forecast, appraised.logbook.on
    tolerated = appraised.logbook.settings.tolerated_risk
    checked = 0
    for row, day in enumerate(forecast.hulls["pull_by"]):
        if day is None or forecast.hull_chance[row, 0] > tolerated:
            assert day is None or day == on.date()
            continue
        ahead = (pd.Timestamp(day, tz="UTC") - on) / pd.Timedelta(days=1)
        assert np.interp(ahead, forecast.day_grid, forecast.hull_chance[row]) <= tolerated + 1e-9
        later = np.interp(ahead + 2.0, forecast.day_grid, forecast.hull_chance[row])
        assert later >= tolerated - 1e-9
        checked += 1
    assert checked >= 2


def test_pull_by_is_a_local_date(appraised: Appraisal) -> None:
    east = ZoneInfo("Pacific/Kiritimati")  # 14 hours ahead of UTC
    settings = replace(appraised.logbook.settings, timezone=east)
    checked = replace(appraised.checked, logbook=replace(appraised.logbook, settings=settings))
    ahead = use_ahead(checked, appraised.exposure, 14)
    elsewhere = forecast_fleet(appraised.life, checked, ahead, 14).hulls["pull_by"].dropna()
    local = appraised.forecast.hulls["pull_by"].dropna()
    assert all((t - h).days in (0, 1) for t, h in zip(elsewhere, local, strict=True))
    assert list(elsewhere) != list(local)


def _steady() -> FleetLogs:
    """Four hulls at sea daily for 55 days, each pencil read every 11 days, 0.25 mm a time."""
    fleet = FleetLogs().mooring("E").position("pencil")
    for number in range(1, 5):
        hull = f"H{number}"
        fleet.hull(hull).berth(hull, "E", "lifted").fitting(hull, "pencil", "2031-04-01")
        fleet.season(hull, "2031-04-02", 55, flushed=True)
        for look, day in enumerate(pd.date_range("2031-04-12", periods=4, freq="11D"), 1):
            fleet.reading(hull, "pencil", f"{day:%Y-%m-%d}", round(9 - 0.3 * look, 2))
    return fleet


def _without_readings_of(fleet: FleetLogs, hull_id: str) -> FleetLogs:
    fleet.rows["readings"] = [r for r in fleet.rows["readings"] if r["hull_id"] != hull_id]
    return fleet


def _anode(appraisal: Appraisal, hull_id: str) -> pd.Series:
    anodes = appraisal.forecast.anodes
    return anodes[anodes["hull_id"] == hull_id].iloc[0]


@pytest.fixture(scope="module")
def steady(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    return appraise(_steady().write(tmp_path_factory.mktemp("steady")), ON)


def test_without_readings_an_anode_is_less_certain(tmp_path: Path, steady: Appraisal) -> None:
    fleet = _without_readings_of(_steady(), "H1")
    blind = appraise(fleet.write(tmp_path), ON)
    width = {
        name: (a := _anode(appraisal, "H1"))["worn_high"] - a["worn_low"]
        for name, appraisal in (("read", steady), ("blind", blind))
    }
    assert width["blind"] > 2 * width["read"]
    # nor is it surer than its sisters in the same fleet
    sister = _anode(blind, "H2")
    assert width["blind"] > 2 * (sister["worn_high"] - sister["worn_low"])
    assert _anode(blind, "H1")["flag"] == "unread"


def test_alike_hulls_come_out_alike_and_near_what_was_read(steady: Appraisal) -> None:
    worn = steady.forecast.anodes["worn"]
    assert worn.max() - worn.min() < 1e-9
    # 1.2 mm of 2.6 by 15 May, and 12 more days at sea
    assert worn.iloc[0] == pytest.approx(0.46 + 11 / 11 * 0.115, abs=0.05)


def test_a_retired_hull_is_absent_and_one_never_seen_is_named_with_its_reason(
    tmp_path: Path,
) -> None:
    fleet = _steady().hull("H8").berth("H8", "E")
    fleet.rows["hulls"][0]["retired"] = "2031-05-20"
    forecast = appraise(fleet.write(tmp_path), ON).forecast
    assert "H1" not in {*forecast.hulls["hull_id"], *forecast.anodes["hull_id"]}
    assert "H1" not in set(forecast.not_judged["hull_id"])
    assert list(forecast.not_judged["hull_id"]) == ["H8"]
    assert "measure its anodes" in forecast.not_judged["reason"][0]
    assert "H8" not in set(forecast.hulls["hull_id"])
    never = forecast.anodes[forecast.anodes["hull_id"] == "H8"].iloc[0]
    assert never["flag"] == "unread"
    assert np.isnan(never["risk"])


# ---- flags ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def flagged(tmp_path_factory: pytest.TempPathFactory) -> pd.Series:
    """Flags of hulls that each do one thing out of line, by hull."""
    fleet = _steady()
    for number in range(5, 10):
        hull = f"H{number}"
        fleet.hull(hull).berth(hull, "E", "lifted").fitting(hull, "pencil", "2031-04-01")
        fleet.season(hull, "2031-04-02", 30 if hull == "H7" else 55, flushed=True)
    days = [f"{d:%Y-%m-%d}" for d in pd.date_range("2031-04-12", periods=4, freq="11D")]
    sizes = {
        "H5": [8.0, 7.3, 6.7, 6.2],  # past its limit of 6.4
        "H6": [8.98, 9.0, 8.97, 8.98],  # not wearing
        "H7": [8.4, 7.9, 7.3, 6.8],  # 2.6 times as fast an hour, not yet at the limit
        "H8": [8.7, 8.35, 8.1, 8.95],  # a change that nobody wrote down
    }
    for hull, values in sizes.items():
        for day, size in zip(days, values, strict=True):
            fleet.reading(hull, "pencil", day, size)
    appraisal = appraise(fleet.write(tmp_path_factory.mktemp("flagged")), ON)
    return appraisal.forecast.anodes.set_index("hull_id")["flag"]


@pytest.mark.parametrize(
    ("hull_id", "flag"),
    [
        ("H1", ""),
        ("H5", "past-limit"),
        ("H6", "not-wearing"),
        ("H7", "wearing-fast"),
        ("H8", "grew"),
        ("H9", "unread"),
    ],
)
def test_each_flag_marks_what_it_says(flagged: pd.Series, hull_id: str, flag: str) -> None:
    assert flagged[hull_id] == flag


# ---- the past, the order of rows, the use ahead --------------------------------------------


def _same(first: Appraisal, second: Appraisal) -> None:
    for name in ("anodes", "hulls", "not_judged"):
        pd.testing.assert_frame_equal(
            getattr(first.forecast, name), getattr(second.forecast, name), check_exact=True
        )
    pd.testing.assert_frame_equal(first.habits, second.habits, check_exact=True)


def _tables(folder: Path) -> dict[str, pd.DataFrame]:
    return {log: pd.read_parquet(folder / log) for log in LOGS if (folder / log).exists()}


def _written(tables: dict[str, pd.DataFrame], folder: Path, files: int = 1) -> Path:
    for log, table in tables.items():
        (folder / log).mkdir(parents=True)
        for part in range(files):
            table.iloc[part::files].to_parquet(folder / log / f"{part}.parquet")
    return folder


def test_a_date_in_the_past_answers_as_logs_cut_at_that_moment(
    simulated_folder: Path, tmp_path: Path, simulated_on: pd.Timestamp
) -> None:
    on = simulated_on - pd.Timedelta(days=25)
    cut = _tables(simulated_folder)
    for log, time in TIME_OF.items():
        cut[log] = cut[log][cut[log][time] <= on]
    hulls = cut["hulls"]
    if "retired" in hulls:
        hulls["retired"] = hulls["retired"].where(hulls["retired"] <= on)
    assert len(cut["readings"]) < len(_tables(simulated_folder)["readings"])
    _same(appraise(simulated_folder, on, 14), appraise(_written(cut, tmp_path), on, 14))


def test_the_order_of_rows_and_the_split_into_files_change_nothing(
    simulated_folder: Path, tmp_path: Path, simulated_on: pd.Timestamp, appraised: Appraisal
) -> None:
    tables = {
        log: table.sample(frac=1.0, random_state=4)
        for log, table in _tables(simulated_folder).items()
    }
    _same(appraised, appraise(_written(tables, tmp_path, files=3), simulated_on, 14))


def test_more_booked_hours_never_lower_a_hulls_risk(appraised: Appraisal) -> None:
    checked, on = appraised.checked, appraised.logbook.on
    base = _risk(appraised, 28)
    bookings = checked.bookings
    hull = str(bookings["hull_id"].iloc[0])
    ahead = (bookings["starts"] > on) & (bookings["hull_id"] == hull)
    assert ahead.any()
    more = bookings.assign(
        engine_hours=bookings["engine_hours"].where(~ahead, 3 * bookings["engine_hours"])
    )
    busier = replace(checked, tables=dict(checked.tables) | {"bookings": more})
    risk = _risk(replace(appraised, checked=busier), 28)
    assert risk[hull] >= base[hull]


@pytest.mark.parametrize("days", [1, 14, 28])
def test_another_horizon_of_the_same_fit_is_that_of_a_new_appraisal(
    appraised: Appraisal, days: int
) -> None:
    folder, on = appraised.logbook.folder, appraised.forecast.on
    ahead, anew = look_ahead(appraised, days).forecast, appraise(folder, on, days).forecast
    pd.testing.assert_frame_equal(ahead.hulls, anew.hulls)
    pd.testing.assert_frame_equal(ahead.anodes, anew.anodes)
    assert (ahead.on, ahead.days) == (anew.on, days)
