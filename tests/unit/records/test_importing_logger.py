"""A logger's rows become outings, and what it does not tell is not guessed."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from corrosion.chemistry import salinity_from_conductivity
from corrosion.common import LogRefused
from corrosion.records.importing.logger_minutes import (
    AT_C,
    FRESH_BELOW_MS_PER_CM,
    SALT_FROM_MS_PER_CM,
    water_by_conductivity,
)
from tests.unit.records.tables_kept import column, fleet_at, proposed, taken

FIRST = pd.Timestamp("2031-05-02 09:00")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return fleet_at(tmp_path)


def minutes(
    runs: list[tuple[int, int]], until: int, silent: tuple[int, int] = (0, 0), more: str = ""
) -> str:
    """Rows of H1, one a minute: revolutions within `runs`, none within `silent`."""
    rows = [
        f"H1,{FIRST + pd.Timedelta(minutes=at):%Y-%m-%d %H:%M},"
        f"{1800 if any(a <= at < b for a, b in runs) else 0}{more}"
        for at in range(until)
        if not silent[0] <= at < silent[1]
    ]
    return "\n".join(rows) + "\n"


def new_outings(folder: Path, text: str) -> pd.DataFrame:
    rows = proposed(folder, text, "outings")
    return rows.rows.assign(reason=rows.reasons)


def test_an_outing_is_from_the_first_running_row_to_the_row_that_finds_it_stopped(
    folder: Path,
) -> None:
    text = "boat,timestamp,rpm\n" + minutes([(5, 65), (80, 110), (200, 230)], 300)
    rows = new_outings(folder, text)
    lisbon = "Europe/Lisbon"  # an hour ahead of UTC in May
    assert [str(at.tz_convert(lisbon))[11:16] for at in rows["started"]] == ["09:05", "12:20"]
    assert [str(at.tz_convert(lisbon))[11:16] for at in rows["ended"]] == ["10:50", "12:50"]
    assert rows["engine_hours"].tolist() == pytest.approx([1.5, 0.5], abs=1e-3)
    assert rows["reason"].tolist() == ["", ""]


def test_outings_of_a_logger_lie_in_the_log_and_the_same_file_again_adds_nothing(
    folder: Path,
) -> None:
    text = "hull_id,time,engine running\n" + minutes([(5, 65)], 100).replace("1800", "on").replace(
        ",0\n", ",off\n"
    )
    before = len(column(folder, "engine_hours", "outings"))
    assert taken(folder, text, "outings").taken == 1
    after = column(folder, "engine_hours", "outings")
    assert len(after) == before + 1
    assert taken(folder, text, "outings").taken == 0


@pytest.mark.parametrize(
    ("runs", "silent", "until", "says"),
    [
        ([(5, 100)], (0, 0), 100, "still ran in its last row"),
        ([(0, 50)], (0, 0), 100, "ran already when the logger began"),
        ([(5, 90)], (40, 70), 100, "fell silent while the engine ran"),
    ],
)
def test_an_outing_of_unknown_start_or_end_is_set_aside_with_the_reason(
    folder: Path, runs: list[tuple[int, int]], silent: tuple[int, int], until: int, says: str
) -> None:
    text = "hull,timestamp,rpm\n" + minutes(runs, until, silent)
    assert says in new_outings(folder, text)["reason"][0]
    done = taken(folder, text, "outings")
    assert done.taken == 0
    assert len(done.aside) >= 1


def test_engine_hours_over_a_gap_are_unknown_not_guessed(folder: Path) -> None:
    text = "hull,timestamp,rpm\n" + minutes([(5, 65)], 100, (30, 40))
    rows = new_outings(folder, text)
    assert rows["reason"].tolist() == [""]
    assert rows["engine_hours"].isna().tolist() == [True]


@pytest.mark.parametrize(
    ("heads", "cells", "water"),
    [
        ("conductivity (mS/cm)", ",0.2", "fresh"),
        ("conductivity (µS/cm)", ",12000", "brackish"),
        ("conductivity (mS/cm)", ",43.0", None),
        ("conductivity", ",0.2", None),
        ("conductivity_ms_per_cm", ",0.2", "fresh"),
        ("conductivity (mS/cm),temperature (C)", ",43.0,15", "salt"),
        ("conductivity (mS/cm),temperature (C)", ",", None),
    ],
)
def test_the_water_is_told_only_where_it_cannot_be_another(
    folder: Path, heads: str, cells: str, water: str | None
) -> None:
    text = f"hull,timestamp,rpm,{heads}\n" + minutes([(5, 65)], 100, more=cells)
    water_read = new_outings(folder, text)["water"][0]
    assert (None if pd.isna(water_read) else water_read) == water


def test_conductivities_that_part_the_waters_are_those_of_the_practical_salinity_scale() -> None:
    """PSS-78 as `corrosion.chemistry` works it out, held there against printed check values."""
    fresh = salinity_from_conductivity(FRESH_BELOW_MS_PER_CM, AT_C)
    salt = salinity_from_conductivity(SALT_FROM_MS_PER_CM, AT_C)
    assert fresh == pytest.approx([0.5] * 4, abs=2e-3)
    assert salt == pytest.approx([30.0] * 4, abs=2e-3)
    for degrees in (4.0, 15.0, 26.0):
        for ms_per_cm in (0.4, 1.4, 10.0, 23.0, 53.0):
            salinity = float(salinity_from_conductivity(ms_per_cm, degrees))
            word = "fresh" if salinity < 0.5 else "brackish" if salinity < 30 else "salt"
            assert water_by_conductivity(ms_per_cm, degrees) == word


def test_a_logger_whose_times_or_engine_cannot_be_read_is_refused(folder: Path) -> None:
    with pytest.raises(LogRefused, match="time cannot be read"):
        proposed(folder, "hull,timestamp,rpm\nH1,02/05/31 9 o'clock,1800\n", "outings")
    with pytest.raises(LogRefused, match="runs in none of 1 rows"):
        proposed(folder, "hull,timestamp,rpm\nH1,2031-05-02 09:00,0\n", "outings")
