"""Changing fleet.toml: comments stay, the old file is kept, nothing half is ever read."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from corrosion.common.errors import LogRefused, Refusal
from corrosion.records import operator
from corrosion.records.settings import changed_text, read_settings, settings_text, write_settings

NOW = datetime(2031, 6, 1, 12, tzinfo=UTC)
TEXT = """# our fleet
name = "Ferry Steps"   # as on the gate
tolerated_risk = 0.1

[[bays]]
mooring_id = "E"
weekdays = ["Tue"]

[stock]
"AN-1" = 3
"""


def test_comments_and_order_stay_when_a_key_changes() -> None:
    text = changed_text(TEXT, {"tolerated_risk": 0.05})
    assert text == TEXT.replace("0.1\n", "0.05\n")


def test_a_new_key_does_not_slip_into_the_last_table(tmp_path: Path) -> None:
    text = changed_text(TEXT, {"timezone": "Europe/Lisbon", "wage_per_hour": 30.0})
    write_settings(tmp_path, text, operator("office"), NOW)
    settings = read_settings(tmp_path)
    assert settings.timezone.key == "Europe/Lisbon"
    assert settings.wage_per_hour == 30.0
    assert settings.stock == {"AN-1": 3}
    assert not settings.extra


def test_a_list_of_tables_is_replaced_as_a_whole(tmp_path: Path) -> None:
    bays = [{"mooring_id": "B", "hulls_per_day": 2}, {"mooring_id": "L"}]
    write_settings(tmp_path, changed_text(TEXT, {"bays": bays}), operator("office"), NOW)
    assert [bay.mooring_id for bay in read_settings(tmp_path).bays] == ["B", "L"]


def test_a_key_is_taken_out(tmp_path: Path) -> None:
    write_settings(tmp_path, changed_text(TEXT, {"name": None}), operator("office"), NOW)
    assert read_settings(tmp_path).name == ""


def test_the_old_file_is_kept_under_its_date_also_twice_in_one_second(tmp_path: Path) -> None:
    assert write_settings(tmp_path, TEXT, operator("office"), NOW) is None
    first = write_settings(tmp_path, changed_text(TEXT, {"name": "One"}), operator("office"), NOW)
    second = write_settings(tmp_path, changed_text(TEXT, {"name": "Two"}), operator("office"), NOW)
    assert first is not None
    assert second is not None
    assert first.read_text() == TEXT
    assert 'name = "One"' in second.read_text()
    assert first.name == "fleet.until-20310601-120000.toml"


def test_what_cannot_be_read_is_refused_and_nothing_changes(tmp_path: Path) -> None:
    write_settings(tmp_path, TEXT, operator("office"), NOW)
    with pytest.raises(LogRefused, match="tolerated_risk = 2"):
        write_settings(tmp_path, changed_text(TEXT, {"tolerated_risk": 2}), operator("office"), NOW)
    with pytest.raises(LogRefused, match="not valid TOML"):
        write_settings(tmp_path, "name = ", operator("office"), NOW)
    assert settings_text(tmp_path) == TEXT
    assert [path.name for path in tmp_path.iterdir()] == ["fleet.toml"]


def test_the_same_text_again_leaves_no_copy(tmp_path: Path) -> None:
    write_settings(tmp_path, TEXT, operator("office"), NOW)
    assert write_settings(tmp_path, TEXT, operator("office"), NOW) is None
    assert len(list(tmp_path.iterdir())) == 1


def test_a_folder_that_takes_no_file_is_said(tmp_path: Path) -> None:
    (tmp_path / "fleet.toml").mkdir()
    with pytest.raises(Refusal, match="nothing was changed"):
        write_settings(tmp_path, TEXT, operator("office"), NOW)
