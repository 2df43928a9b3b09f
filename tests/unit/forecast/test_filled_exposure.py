"""Facts about use that was probably made and not written down."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast import Appraisal, appraise, silence_in_words, unwritten
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow

SINCE, ON = "2031-07-10", "2031-07-31"
HULLS = ("E1", "E2", "E3", "L1", "L2", "L3")
WEEKS = pd.date_range("2031-04-09", "2031-07-09", freq="14D")


def fleet(until: dict[str, str] | None = None, booked: bool = True) -> FleetLogs:
    """Three hulls at each of two docks, all out each day, looked at every fortnight."""
    logs = FleetLogs().mooring("E").mooring("L", "brackish").position("pencil")
    for number, hull in enumerate(HULLS):
        logs.hull(hull).berth(hull, hull[0], since="2030-01-01")
        logs.fitting(hull, "pencil", "2031-04-01 08:00")
        for day in pd.date_range("2031-04-01", (until or {}).get(hull, "2031-07-09")):
            logs.outing(hull, f"{day:%Y-%m-%d} 09:00")
        for day in pd.date_range("2031-04-01", "2031-09-30") if booked else ():
            start = f"{day:%Y-%m-%d}"
            logs.booking(hull, f"{start} 09:00", f"{start} 11:00", engine_hours=1.8)
        for day in WEEKS:
            worn = 0.14 * (day - pd.Timestamp("2031-04-01")).days / 7
            logs.reading(
                hull, "pencil", f"{day:%Y-%m-%d} 08:00", round(9 - worn - 0.02 * number, 2)
            )
    return logs


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return fleet().write(tmp_path_factory.mktemp("fleet"))


@pytest.fixture(scope="module")
def after(folder: Path) -> Appraisal:
    return appraise(folder, ON)


def _risk(appraisal: Appraisal) -> pd.Series:
    return appraisal.forecast.anodes.set_index("hull_id")["risk"]


def test_where_entries_are_in_place_nothing_is_filled_in(folder: Path) -> None:
    appraisal = appraise(folder, SINCE)
    assert appraisal.exposure.filling is None
    assert unwritten(appraisal).empty
    assert silence_in_words(appraisal) == ()
    assert (appraisal.forecast.hulls["entries_until"] == appraisal.logbook.on).all()


def test_three_silent_weeks_are_filled_with_the_hires_that_went_by(after: Appraisal) -> None:
    filling = after.exposure.filling
    assert filling is not None
    assert filling.engine_h.sum(axis=1) == pytest.approx(np.full(6, 21 * 1.8), rel=0.05)
    assert (filling.chance > 0.95).all()


def test_the_moment_of_the_last_entry_is_said(after: Appraisal) -> None:
    last = pd.Timestamp("2031-07-09 11:00", tz="UTC")
    assert (after.forecast.hulls["entries_until"] == last).all()
    assert (after.forecast.anodes["entries_until"] == last).all()
    assert list(unwritten(after)["days"].round()) == [22.0, 22.0]
    assert all("Filled in" in line for line in silence_in_words(after))


def test_no_chance_falls_because_rows_are_withheld(folder: Path, after: Appraisal) -> None:
    then = appraise(folder, SINCE, 28)
    assert (_risk(after) >= 0.5 * _risk(then)).all()
    worn = after.forecast.anodes.set_index("hull_id")["worn"]
    assert (worn > then.forecast.anodes.set_index("hull_id")["worn"] + 0.1).all()


def test_ranges_become_wider_with_a_silence(after: Appraisal) -> None:
    assert (unwritten(after)["wider"] > 1.02).all()


def test_a_dock_that_falls_silent_changes_nothing_elsewhere(tmp_path: Path) -> None:
    up_to_date = {hull: "2031-07-30" for hull in HULLS if hull[0] == "L"}
    appraisal = appraise(fleet(up_to_date).write(tmp_path), ON)
    filling = appraisal.exposure.filling
    assert filling is not None
    assert (filling.chance[:3] > 0.8).all()
    assert (filling.engine_h[3:] == 0).all()
    assert list(unwritten(appraisal)["mooring_id"]) == ["E"]


def test_a_hull_that_rests_beside_working_neighbours_is_not_filled_in(tmp_path: Path) -> None:
    logs = fleet(dict.fromkeys(HULLS[1:], "2031-07-30"))
    appraisal = appraise(logs.write(tmp_path), ON)
    assert appraisal.exposure.filling is None


def test_a_look_inside_the_silence_sets_worn_anew_but_keeps_the_hours(tmp_path: Path) -> None:
    logs = fleet()
    for hull in HULLS:
        logs.reading(hull, "pencil", "2031-07-30 08:00", 6.75)
    appraisal = appraise(logs.write(tmp_path), ON)
    assert appraisal.forecast.anodes["worn"].to_numpy(float) == pytest.approx(
        np.full(6, (9.0 - 6.75) / _allowance(appraisal)), abs=0.08
    )
    pace = appraisal.forecast.anodes["pace"].to_numpy(float)
    assert (np.abs(pace - 1.0) < 0.15).all()


def _allowance(appraisal: Appraisal) -> float:
    row = appraisal.forecast.anodes.iloc[0]
    return float(row["new_size_mm"] - row["limit_size_mm"])
