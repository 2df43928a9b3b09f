"""The commands `parts` and `costs` on a small fleet, as people and programs read them."""

import json
from pathlib import Path

import pytest

from corrosion.command_line import main
from tests.fleets import usual_fleet

pytestmark = pytest.mark.slow


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    fleet = usual_fleet(3).setting(wage_per_hour=40.0, currency="EUR")
    for row in fleet.rows["anode_positions"]:
        row |= {"part_number": f"P-{row['position']}", "part_cost": 20.0, "access_minutes": 30.0}
        row |= {"swap_minutes": 15.0, "seal_cost": 2.0, "late_cost": 500.0}
    fleet.add("stock_moves", part_number="P-pencil", pieces=2.0, moved_at="2031-04-03 09:00")
    for hull in ("H1", "H2", "H3"):
        fleet.season(hull, "2031-04-02", 55)
        fleet.reading(hull, "pencil", "2031-04-20 07:00", 8.2)
        fleet.reading(hull, "pencil", "2031-05-10 07:00", 7.3)
        fleet.reading(hull, "plate", "2031-05-10 07:00", 13.9)
    fleet.reading("H1", "pencil", "2031-05-20 07:00", 6.6, removed=True)
    fleet.fitting("H1", "pencil", "2031-05-20 07:30")
    return fleet.write(tmp_path)


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[str, str]:
    assert main([*words, "--on", "2031-06-01"]) == 0
    printed = capsys.readouterr()
    return printed.out, printed.err


def test_parts_are_listed_for_the_weeks_asked_and_what_is_there(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = json.loads(answer(capsys, "parts", str(folder), "--format", "json")[0])
    by_part = {row["part_number"]: row for row in rows}
    assert set(by_part) == {"P-pencil", "P-plate"}
    assert by_part["P-pencil"]["on_hand"] == 2
    assert by_part["P-plate"]["on_hand"] is None
    assert by_part["P-plate"]["order_by"] is None
    for row in rows:
        assert row["need_4"] <= row["need_13"] <= row["need_26"]
        assert row["need_13_low"] <= row["need_13"] <= row["need_13_high"]


def test_the_table_of_parts_shows_the_span_asked_for(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, about = answer(capsys, "parts", str(folder), "--weeks", "26")
    assert "need_26_high" in table.splitlines()[0]
    assert "need_4" not in table.splitlines()[0]
    assert "26 weeks ahead" in about
    assert "nobody counted that part" in about


def test_other_spans_are_not_understood(folder: Path) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(["parts", str(folder), "--weeks", "5"])


def test_costs_are_listed_by_mooring_with_their_currency(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, about = answer(capsys, "costs", str(folder))
    assert table.splitlines()[-1].startswith("all moorings")
    assert "Amounts in EUR." in about
    assert "Lost hire is not known" in about


def test_rules_are_compared_and_the_plan_stands_first(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ("costs", str(folder), "--against-rules", "--format", "json")
    rows = json.loads(answer(capsys, *words)[0])
    assert [row["rule"] for row in rows] == [
        *("the plan's rule", "calendar", "hours", "replace at half")
    ]
    assert rows[0]["saved"] is None
    assert all(row["saved_low"] <= row["saved_high"] for row in rows[1:])


def test_looks_are_listed_an_anode_a_row_with_what_sets_their_date(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = json.loads(answer(capsys, "looks", str(folder), "--format", "json")[0])
    assert {(row["hull_id"], row["position"]) for row in rows} == {
        (hull, position) for hull in ("H1", "H2", "H3") for position in ("pencil", "plate")
    }
    first = ["hull_id", "position", "mooring_id", "look_by", "why", "worth", "cost"]
    assert list(rows[0])[:7] == first
    for row in rows:
        assert row["why"] in {"limit", "sentinel", "manual", "odd", "unread", "pays"}
        assert row["look_by"] >= "2031-06-01"
        assert row["cost"] == 0 or row["with_pull_out"] is None
    # the new pencil of H1 has months before it
    dates = {(row["hull_id"], row["position"]): row["look_by"] for row in rows}
    assert dates["H1", "pencil"] > dates["H2", "pencil"]


def test_the_table_of_looks_says_what_the_round_takes(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, about = answer(capsys, "looks", str(folder))
    assert table.split()[:5] == ["hull_id", "position", "mooring_id", "look_by", "why"]
    assert "This week's round:" in about
    assert "Assumed: No stray_look_days" in about
