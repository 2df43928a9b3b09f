"""Registers: layouts from arrangements, settings in a form, a fleet begun, codes to print."""

import re
from pathlib import Path

import pandas as pd
import pytest

from corrosion.data_entry import (
    ARRANGEMENTS,
    REGISTERS,
    bays_of,
    bays_table,
    blank_layout,
    desk_of,
    first_rows,
    hull_address,
    layout_rows,
    logs_to_start,
    plain_settings,
    qr_sheet,
    row_of,
    settings_changes,
    write_draft,
)
from corrosion.records import operator
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from corrosion.records.settings import Settings, changed_text, settings_of
from tests.fleets import usual_fleet

NOW = pd.Timestamp("2031-06-01 12:00", tz="UTC")
FILLED = {"alloy": "zinc", "new_size_mm": "9", "limit_size_mm": "6,4", "limit_source": "p. 3"}


def filled(name: str) -> pd.DataFrame:
    return blank_layout(name).assign(**FILLED)


@pytest.mark.parametrize("name", sorted(ARRANGEMENTS))
def test_an_arrangement_gives_places_and_no_sizes_limits_or_metals(name: str) -> None:
    blank = blank_layout(name)
    assert len(blank) >= 3
    assert {"engine", "hull"} == set(blank["circuit"])
    assert set(blank[list(FILLED)].to_numpy().ravel()) == {""}


@pytest.mark.parametrize("name", sorted(ARRANGEMENTS))
def test_a_filled_arrangement_is_a_layout(name: str) -> None:
    made = layout_rows("ours", filled(name), Settings())
    assert not made.wrong
    assert [row.cells["limit_size_mm"] for row in made.rows] == [6.4] * len(made.rows)


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"limit_size_mm": "9"}, "below the size of a new part"),
        ({"limit_source": ""}, "which manual and on which page"),
        ({"new_size_mm": ""}, "fill it in"),
        ({"alloy": ""}, "fill it in"),
        ({"position": "same"}, "stands there twice"),
    ],
)
def test_a_layout_that_the_register_would_object_to_is_not_entered(
    change: dict[str, str], sentence: str
) -> None:
    made = layout_rows("ours", filled("jet boat").assign(**change), Settings())
    assert any(sentence in wrong for wrong in made.wrong)


def test_a_layout_needs_a_name_and_a_place() -> None:
    made = layout_rows(" ", blank_layout("nothing"), Settings())
    assert len(made.wrong) == 2


def test_a_fleet_started_in_an_empty_folder_can_be_read_and_written(tmp_path: Path) -> None:
    texts = {"mooring_id": "E", "water": "salt", "hull_id": "H1", "stays": "afloat",
             "since": "2031-05-01"}  # fmt: skip
    made = first_rows(texts, "jet", filled("jet boat"), Settings())
    assert not made.wrong
    assert logs_to_start(tmp_path) == REGISTERS
    write_draft(tmp_path, made, operator("office"), "start", NOW)
    assert logs_to_start(tmp_path) == ()
    checked = check_logs(read_fleet(tmp_path, NOW))
    assert [p.position for p in desk_of(checked, None, NOW).places("H1")]
    assert "set-aside" not in set(checked.findings["severity"])


def test_a_fleet_starts_with_several_hulls_each_once() -> None:
    texts = {"mooring_id": "E", "water": "salt", "hull_id": "H1, H 2;H3", "stays": "afloat",
             "since": "2 May 2031"}  # fmt: skip
    made = first_rows(texts, "jet", filled("jet boat"), Settings())
    hulls = [row.cells["hull_id"] for row in made.rows if row.log == "hulls"]
    berths = [row.cells["hull_id"] for row in made.rows if row.log == "berths"]
    assert hulls == berths == ["H1", "H 2", "H3"]
    twice = first_rows(texts | {"hull_id": "H1,H1"}, "jet", filled("jet boat"), Settings())
    assert twice.wrong == ("H1 stands among the hulls twice.",)


@pytest.mark.parametrize(
    "text",
    [
        "2031-05-13",
        "13 May 2031",
        "May 13, 2031",
        "13.05.2031",
        "13/5/2031",
        "5/13/31",
        "13-May-31",
    ],
)
def test_a_day_that_can_only_be_one_is_read_in_any_form(text: str) -> None:
    made = row_of("hulls", {"hull_id": "H9", "layout": "jet", "in_service": text}, Settings())
    assert not made.wrong
    assert made.main.cells["in_service"] == pd.Timestamp("2031-05-13", tz="UTC")


@pytest.mark.parametrize(
    ("text", "why"),
    [("04/05/2031", "may be two dates"), ("31.02.2031", "no date"), ("spring", "is no time")],
)
def test_a_day_that_may_be_two_or_none_is_asked_for_again(text: str, why: str) -> None:
    made = row_of("hulls", {"hull_id": "H9", "layout": "jet", "in_service": text}, Settings())
    (wrong,) = made.wrong
    assert why in wrong
    assert "2031-05-02" in wrong


def test_what_is_missing_at_the_start_is_asked_for(tmp_path: Path) -> None:
    made = first_rows({"water": "salt"}, "jet", blank_layout("jet boat"), Settings())
    assert any("The mooring" in wrong for wrong in made.wrong)
    assert any("The hull" in wrong for wrong in made.wrong)


def test_settings_that_were_not_touched_are_not_changed() -> None:
    now = plain_settings(Settings(wage_per_hour=34.5))
    assert settings_changes(now, now) == ({}, [])


def test_settings_are_changed_taken_out_and_read_with_a_comma() -> None:
    now = plain_settings(Settings(name="Old", currency="EUR"))
    typed = now | {"name": "", "wage_per_hour": "34,5", "roles": "dock\n\nworkshop"}
    changes, wrong = settings_changes(typed, now)
    assert not wrong
    assert changes == {"name": None, "wage_per_hour": 34.5, "roles": ["dock", "workshop"]}
    settings = settings_of(changed_text('name = "Old"\n', changes))
    assert (settings.name, settings.wage_per_hour) == ("", 34.5)
    assert settings.roles == ("dock", "workshop")


def test_a_setting_that_is_no_number_is_said() -> None:
    now = plain_settings(Settings())
    assert settings_changes(now | {"flush_minutes": "ten"}, now)[1]


BAYS = """[[bays]]
mooring_id = "E"
weekdays = ["Tue", "Thu"]
hulls_per_day = 2
note = "tide"

[[bays]]
mooring_id = "B"
"""


def test_bays_shown_and_read_again_say_the_same_and_keep_what_is_beside() -> None:
    settings = settings_of(BAYS)
    table = bays_table(settings)
    assert table["weekdays"].tolist() == ["Tue, Thu", ""]
    again = settings_of(changed_text(BAYS, {"bays": bays_of(table, BAYS)}))
    assert again.bays == settings.bays
    assert again.extra == settings.extra


def test_each_hull_has_a_code_with_its_address_in_plain_letters(tmp_path: Path) -> None:
    fleet = usual_fleet().setting(name="Ferry <Steps>", simulated=True)
    desk = desk_of(check_logs(read_fleet(fleet.write(tmp_path))), None, NOW)
    html = qr_sheet(desk, "https://anodes.example.org/", ["H1", "H 2&3"])
    assert html.count("<svg") == 2
    assert "https://anodes.example.org/log_book?hull=H1<" in html
    assert "hull=H+2%263" in html
    assert "Ferry <Steps>" not in html
    assert "Simulated" in html
    assert not re.findall(r'(?:src|href)="http', html)


def test_the_address_of_a_hull_opens_the_log_book() -> None:
    assert hull_address("http://dock:8501/", "H07") == "http://dock:8501/log_book?hull=H07"
