"""For which log a file is shows in its headings, and in its name where they do not tell."""

import pytest

from corrosion.records.importing import likeliest_log
from corrosion.records.logs import LOGS


@pytest.mark.parametrize("log", list(LOGS))
def test_a_file_with_the_logs_own_headings_and_name_is_for_that_log(log: str) -> None:
    assert likeliest_log(LOGS[log].names, f"{log}.csv") == log


@pytest.mark.parametrize(
    ("headings", "name", "log"),
    [
        ("Boat;Date;Time out;Time back;Engine hours", "table.csv", "outings"),
        ("Boat;Date;Minutes", "table.csv", "flushes"),
        ("Mooring;Date;Salinity (psu)", "table.csv", "water_samples"),
        ("Boat;Anode;Date;Size (mm);Cleaned", "table.csv", "readings"),
        ("Boat;Anode;Date", "Fittings 2031.csv", "fittings"),
        ("Boat;Anode;Date", "readings-spring.csv", "readings"),
        ("Boat;Anode;Date", "table.csv", None),
        ("Boat;Colour", "readings.csv", None),
    ],
)
def test_a_table_as_people_head_it(headings: str, name: str, log: str | None) -> None:
    assert likeliest_log(headings.split(";"), name) == log
