"""Facts about importing: what people keep in tables becomes rows, or a question, or a reason.

Time zone facts (Lisbon puts its clocks back on 26 October 2031 at 02:00 to 01:00, and forward on
30 March 2031 at 01:00 to 02:00) are those of the IANA time zone database.
"""

from __future__ import annotations

from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest

from corrosion.common.errors import LogRefused
from corrosion.records import operator
from corrosion.records.importing import import_rows, propose
from corrosion.records.logbook import read_fleet
from tests.unit.records.tables_kept import (
    HEAD,
    ON,
    column,
    fleet_at,
    proposed,
    questions,
    sizes,
    taken,
    times,
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return fleet_at(tmp_path)


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_a_table_is_read_whatever_mark_cuts_its_cells(folder: Path, mark: str) -> None:
    text = (HEAD + "H1,pencil,2031-05-02T14:30Z,8.1\n").replace(",", mark)
    assert taken(folder, text).taken == 1
    assert column(folder, "size_mm") == [8.1]


@pytest.mark.parametrize("code", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_text_is_read_in_the_codes_that_office_programs_write(folder: Path, code: str) -> None:
    text = HEAD.strip() + ",note\nH1,pencil,2031-05-02T14:30Z,8.1,für Öl\n"
    import_rows(folder, propose(folder, "readings", text.encode(code), "t.csv"), operator("office"))
    assert column(folder, "note") == ["für Öl"]


def test_headings_are_found_by_what_people_call_them(folder: Path) -> None:
    text = "Boat;Anode;Date;Time;Size (mm);Taken out;Remarks;Weather\n"
    text += "H1;pencil;13.05.2031;9:05;8,1;x;;dry\n"
    proposal = proposed(folder, text)
    assert proposal.mapping == {
        "hull_id": "Boat",
        "position": "Anode",
        "read_at": "Date+Time",
        "size_mm": "Size (mm)",
        "removed": "Taken out",
        "note": "Remarks",
    }
    assert proposal.left == ("Weather",)
    import_rows(folder, proposal, operator("office"))
    row = read_fleet(folder, ON).readings.iloc[0]
    assert (row["size_mm"], row["removed"], row["Weather"]) == (8.1, True, "dry")
    assert row["read_at"] == pd.Timestamp("2031-05-13T08:05Z")
    assert row["imported_from"] == "table.csv"


def test_one_day_and_two_clock_times_are_an_outing(folder: Path) -> None:
    text = "boat,date,out,back,engine hours\nH1,2031-05-02,9:00,11:15,1.9\n"
    taken(folder, text, "outings")
    row = read_fleet(folder, ON).outings.iloc[0]
    assert row["ended"] - row["started"] == pd.Timedelta(hours=2.25)


def test_a_column_is_read_from_the_heading_that_is_said(folder: Path) -> None:
    text = "A,B,C,D\nH1,pencil,2031-05-02T14:30Z,8.1\n"
    assert proposed(folder, text).missing == ("hull_id", "position", "read_at")
    mapping = {"hull_id": "A", "position": "B", "read_at": "C", "size_mm": "D"}
    assert taken(folder, text, mapping=mapping).taken == 1


@pytest.mark.parametrize(
    ("mapping", "why"),
    [
        ({"boat": "A"}, "readings: there is no column boat"),
        ({"hull_id": "Z"}, "table.csv: there is no heading Z. Headings are A, B"),
    ],
)
def test_a_column_or_a_heading_that_is_not_there_is_refused(
    folder: Path, mapping: dict[str, str], why: str
) -> None:
    with pytest.raises(LogRefused, match=why):
        proposed(folder, "A,B\n1,2\n", mapping=mapping)


def test_a_table_without_a_needed_heading_is_not_taken(folder: Path) -> None:
    with pytest.raises(LogRefused, match=r"no heading was found for position, read_at; .*--map"):
        taken(folder, "hull_id,colour\nH1,red\n")


# --- numbers --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "read"),
    [
        (("8,5", "8,25"), [8.5, 8.25]),
        (("8.5", "8.25"), [8.5, 8.25]),
        (("8,5 mm", "0,5 cm"), [8.5, 5.0]),
        (("0.354 in", '0.25"'), [8.9916, 6.35]),
        (("9", "8"), [9.0, 8.0]),
        (("1.234,5", "8,5"), [1234.5, 8.5]),
        (("1,234", "8.5"), [1234.0, 8.5]),
    ],
)
def test_the_mark_of_decimals_is_found_from_the_whole_column(
    folder: Path, texts: tuple[str, ...], read: list[float]
) -> None:
    taken(folder, sizes(*texts), unit="mm")
    assert column(folder, "size_mm") == read


def test_a_number_that_may_be_two_is_asked_about_and_nothing_is_taken(folder: Path) -> None:
    text = "hull_id;started;ended;engine_hours\nH1;2031-05-01T10:00Z;2031-05-01T12:00Z;1.234\n"
    assert questions(proposed(folder, text, "outings")) == ["decimal_comma"]
    with pytest.raises(LogRefused, match=r"Is 1\.234 a number with decimals.*--decimal-comma"):
        taken(folder, text, "outings")
    taken(folder, text, "outings", decimal_comma=False)
    assert column(folder, "engine_hours", "outings") == [1.234]


def test_a_converted_size_keeps_what_was_written(folder: Path) -> None:
    taken(folder, HEAD.replace("size_mm", "size (in)") + "H1,pencil,2031-05-02T10:00Z,0.354\n")
    row = read_fleet(folder, ON).readings.iloc[0]
    assert row["size_mm"] == pytest.approx(0.354 * 25.4)  # 25.4 mm an inch, by definition
    assert row["size_mm_given"] == "0.354 in"


def test_sizes_that_would_be_inches_are_asked_about(folder: Path) -> None:
    text = sizes("0.354", "0.342", "0.331")
    assert questions(proposed(folder, text)) == ["unit"]
    taken(folder, text, unit="in")
    assert column(folder, "size_mm")[0] == pytest.approx(8.9916)


def test_hours_and_minutes_are_read_as_a_clock_shows_them(folder: Path) -> None:
    text = "hull_id,started,ended,hours run\nH1,2031-05-01T10:00Z,2031-05-01T12:00Z,1:45\n"
    taken(folder, text, "outings")
    row = read_fleet(folder, ON).outings.iloc[0]
    assert (row["engine_hours"], row["engine_hours_given"]) == (1.75, "1:45")


def test_a_temperature_and_a_conductivity_are_converted_as_their_headings_say(folder: Path) -> None:
    text = "mooring_id,sampled_at,Temperature (F),Conductivity (uS/cm)\n"
    text += "E,2031-05-02T10:00Z,68,50000\n"
    taken(folder, text, "water_samples")
    row = read_fleet(folder, ON).water_samples.iloc[0]
    assert row["temperature_c"] == pytest.approx(20.0)  # 68 F are 20 C, by definition of the scales
    assert row["conductivity_ms_per_cm"] == pytest.approx(50.0)


# --- times ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2031-05-02T14:30Z", "2031-05-02T14:30Z"),
        ("2031-05-02 14:30:05", "2031-05-02T13:30:05Z"),
        ("2031/5/2 14:30", "2031-05-02T13:30Z"),
        ("13/05/2031 2:30 pm", "2031-05-13T13:30Z"),
        ("05/13/2031 12:05 AM", "2031-05-12T23:05Z"),
        ("2.5.2031 14:30", "2031-05-02T13:30Z"),
        ("2 May 2031 14:30", "2031-05-02T13:30Z"),
        ("May 2 2031 14.30", "2031-05-02T13:30Z"),
        ("02-May-31", "2031-05-01T23:00Z"),
        ("2031-05-02T14:30-03:00", "2031-05-02T17:30Z"),
    ],
)
def test_a_time_is_read_as_people_write_it(folder: Path, text: str, utc: str) -> None:
    taken(folder, times(text))
    assert column(folder, "read_at") == [pd.Timestamp(utc)]


def test_one_date_tells_the_order_of_day_and_month_for_all(folder: Path) -> None:
    taken(folder, times("03/04/2031", "13/04/2031"))
    days = [at.tz_convert("Europe/Lisbon").date().isoformat() for at in column(folder, "read_at")]
    assert days == ["2031-04-03", "2031-04-13"]


def test_dates_that_may_be_two_are_asked_about(folder: Path) -> None:
    text = times("03/04/2031", "05/06/2031")
    assert questions(proposed(folder, text)) == ["day_first"]
    with pytest.raises(LogRefused, match=r"Which stands first in 03/04/2031.*--day-first"):
        taken(folder, text)
    assert taken(folder, text, day_first=False).taken == 2
    assert column(folder, "read_at")[0] == pd.Timestamp("2031-03-04T00:00Z")


def test_dates_that_contradict_each_other_are_asked_about_and_then_set_aside(folder: Path) -> None:
    text = times("13/04/2031", "04/14/2031")
    assert questions(proposed(folder, text)) == ["day_first"]
    done = taken(folder, text, day_first=True)
    assert (done.taken, list(done.aside["line"])) == (1, [3])
    assert done.aside["reason"][0] == "read_at is no date of the calendar (04/14/2031)"


def test_a_time_that_the_clock_showed_twice_is_set_aside_unless_it_is_said_which(
    folder: Path,
) -> None:
    text = times("2031-10-26 01:30", "2031-10-26 01:30+00:00", "2031-10-26 03:30")
    done = taken(folder, text)
    assert (done.taken, len(done.aside)) == (2, 1)
    assert "was on the clock twice that day" in done.aside["reason"][0]
    assert taken(folder, text, clock_twice="earlier").taken == 1
    assert pd.Timestamp("2031-10-26T00:30Z") in column(folder, "read_at")


def test_a_time_that_the_clock_never_showed_is_set_aside(folder: Path) -> None:
    done = taken(folder, times("2031-03-30 01:30", "2031-03-30 02:30"))
    assert (done.taken, len(done.aside)) == (1, 1)
    assert "never was on the clock that day" in done.aside["reason"][0]


def test_local_times_are_of_the_zone_that_is_said(folder: Path) -> None:
    taken(folder, times("2031-05-02 14:30"), timezone=ZoneInfo("America/Toronto"))
    assert column(folder, "read_at") == [pd.Timestamp("2031-05-02T18:30Z")]


# --- yes and no, words ----------------------------------------------------------------------


def test_yes_and_no_are_read_as_people_write_them_and_empty_is_unknown(folder: Path) -> None:
    words = ["yes", "N", "ja", "x", "1", "nein", "", "FALSE", "oui"]
    rows = "".join(f"H1,pencil,2031-05-0{n}T10:00Z,{word}\n" for n, word in enumerate(words, 1))
    taken(folder, "hull_id,position,read_at,removed\n" + rows)
    read = [None if pd.isna(value) else bool(value) for value in column(folder, "removed")]
    assert read == [True, False, True, True, True, False, None, False, True]


def test_words_of_a_column_have_other_ways_to_write_them(folder: Path) -> None:
    text = "mooring_id,water\nA,Sea\nB,freshwater\nC,BRACKISH\nD,soup\n"
    done = taken(folder, text, "moorings")
    assert done.taken == 3
    assert done.aside["reason"][0] == "water is none of salt, brackish, fresh (soup)"


def test_a_day_with_two_clock_times_may_end_after_midnight(folder: Path) -> None:
    text = (
        "Date; Boat; Time out; Time back; Engine hours (h)\n"
        "03.05.2031; H1; 09:10; 11:40; 2,1\n"
        "03.05.2031; H2; 22:30; 00:45; 1,9\n"
    )
    proposal = proposed(folder, text, "outings")
    assert proposal.missing == ()
    assert taken(folder, text, "outings").taken == 2
    # Lisbon is at UTC+1 in summer (IANA time zone database)
    assert column(folder, "started", "outings") == [
        pd.Timestamp("2031-05-03T08:10Z"),
        pd.Timestamp("2031-05-03T21:30Z"),
    ]
    assert column(folder, "ended", "outings") == [
        pd.Timestamp("2031-05-03T10:40Z"),
        pd.Timestamp("2031-05-03T23:45Z"),
    ]


def test_two_full_times_in_the_wrong_order_are_left_for_the_check(folder: Path) -> None:
    text = "hull_id,started,ended,engine_hours\nH1,2031-05-03 12:00,2031-05-03 10:00,1.5\n"
    taken(folder, text, "outings")
    assert column(folder, "ended", "outings") == [pd.Timestamp("2031-05-03T09:00Z")]
