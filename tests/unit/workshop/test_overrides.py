"""Decisions of the manager: which of them hold."""

from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.common.errors import LogRefused
from corrosion.records import operator
from corrosion.records.logbook import read_fleet
from corrosion.workshop.overrides import decide, monday_of, standing_changes
from tests.fleets import usual_fleet

ZONE = ZoneInfo("Europe/Lisbon")
MONDAY = date(2031, 6, 2)


def held(*written: tuple[str, str, str | None], first_day: date = MONDAY) -> list[tuple[str, str]]:
    """Decisions in the order in which they were taken: hull, change, day."""
    rows = [
        {
            "hull_id": hull_id,
            "change": change,
            "day": pd.NaT if day is None else pd.Timestamp(day, tz=ZONE).tz_convert("UTC"),
            "decided_at": pd.Timestamp("2031-06-02 07:30", tz="UTC")
            + pd.Timedelta(hours=number // 2),
            "entered_at": pd.Timestamp("2031-06-02 07:30", tz="UTC") + pd.Timedelta(number, "us"),
            "reason": "said so",
            "entry_id": f"e{number}",
        }
        for number, (hull_id, change, day) in enumerate(written)
    ]
    columns = ["hull_id", "change", "day", "decided_at", "entered_at", "reason", "entry_id"]
    moments = dict.fromkeys(("decided_at", "entered_at"), "datetime64[us, UTC]")
    table = pd.DataFrame(rows, columns=columns).astype(moments)
    holding = standing_changes(table, ZONE, first_day)
    return [(f"{row.hull_id} {row.change}", str(row.day)) for row in holding.itertuples()]


def test_without_decisions_none_holds() -> None:
    assert held() == []


def test_a_pin_holds_on_its_local_day() -> None:
    # midnight of a summer day in Lisbon is 23:00 UTC of the day before
    assert held(("H1", "pin", "2031-06-04")) == [("H1 pin", "2031-06-04")]


def test_a_later_pin_moves_the_hull() -> None:
    moved = held(("H1", "pin", "2031-06-04"), ("H1", "pin", "2031-06-12"))
    assert moved == [("H1 pin", "2031-06-12")]


def test_a_pin_and_a_skip_of_the_same_week_contradict_and_the_later_one_holds() -> None:
    assert held(("H1", "pin", "2031-06-04"), ("H1", "skip", "2031-06-05")) == [
        ("H1 skip", "2031-06-02")
    ]
    assert held(("H1", "skip", "2031-06-02"), ("H1", "pin", "2031-06-04")) == [
        ("H1 pin", "2031-06-04")
    ]


def test_a_skip_of_another_week_leaves_a_pin_alone() -> None:
    both = held(("H1", "pin", "2031-06-04"), ("H1", "skip", "2031-06-09"))
    assert [change for change, _ in both] == ["H1 pin", "H1 skip"]


def test_a_release_ends_all_of_a_hulls_decisions_and_nobody_elses() -> None:
    written = (("H1", "pin", "2031-06-04"), ("H1", "hire-out", "2031-06-02"))
    assert held(*written, ("H2", "skip", "2031-06-02"), ("H1", "release", None)) == [
        ("H2 skip", "2031-06-02")
    ]


def test_what_is_over_no_longer_holds_and_a_week_lasts_to_its_sunday() -> None:
    written = (("H1", "pin", "2031-06-04"), ("H2", "skip", "2031-06-02"))
    sunday = held(*written, first_day=date(2031, 6, 8))
    assert sunday == [("H2 skip", "2031-06-02")]
    assert held(*written, first_day=date(2031, 6, 9)) == []


def test_a_week_left_out_is_the_one_of_the_decision_and_a_pin_without_a_day_says_nothing() -> None:
    assert held(("H1", "skip", None), ("H2", "pin", None)) == [("H1 skip", "2031-06-02")]


NOW = pd.Timestamp("2031-06-02 07:30", tz="UTC")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return usual_fleet().setting(timezone="Europe/Lisbon").write(tmp_path)


def standing(folder: Path) -> list[tuple[str, str, date, str | None]]:
    changes = read_fleet(folder, "2031-06-03").plan_changes
    holding = standing_changes(changes, ZONE, MONDAY)
    reasons = [None if pd.isna(reason) else reason for reason in holding.reason]
    return list(zip(holding.hull_id, holding.change, holding.day, reasons, strict=True))


def test_a_decision_is_written_down_and_read_back_as_it_was_meant(folder: Path) -> None:
    decide(folder, "pin", "H1", operator("office"), day=date(2031, 6, 4), now=NOW)
    decide(
        folder,
        "skip",
        "H2",
        operator("office"),
        day=date(2031, 6, 5),
        reason="wedding party",
        now=NOW,
    )
    assert standing(folder) == [
        ("H1", "pin", date(2031, 6, 4), None),
        ("H2", "skip", MONDAY, "wedding party"),
    ]


def test_the_later_of_two_decisions_of_one_moment_holds(folder: Path) -> None:
    for change, reason in (("skip", "wedding party"), ("pin", ""), ("release", ""), ("skip", "x")):
        decide(
            folder, change, "H1", operator("office"), day=date(2031, 6, 4), reason=reason, now=NOW
        )
    assert standing(folder) == [("H1", "skip", MONDAY, "x")]


def test_a_form_that_is_sent_twice_decides_once(folder: Path) -> None:
    for _ in range(2):
        decide(
            folder,
            "pin",
            "H1",
            operator("office"),
            day=date(2031, 6, 4),
            entry_id="form-1",
            now=NOW,
        )
    assert len(read_fleet(folder, "2031-06-03").plan_changes) == 1


@pytest.mark.parametrize("change", ["skip", "hire-out"])
def test_a_skip_and_a_hire_out_need_a_reason(folder: Path, change: str) -> None:
    with pytest.raises(LogRefused, match=r"has no reason\. Say why"):
        decide(folder, change, "H1", operator("office"), reason="  ", now=NOW)
    assert not (folder / "plan_changes").exists()


def test_a_pin_needs_a_day(folder: Path) -> None:
    with pytest.raises(LogRefused, match="has no day"):
        decide(folder, "pin", "H1", operator("office"), now=NOW)


days = st.sampled_from(["2031-06-03", "2031-06-06", "2031-06-10", None])
decisions = st.tuples(
    st.sampled_from(["H1", "H2"]), st.sampled_from(["pin", "skip", "hire-out", "release"]), days
)


@given(st.lists(decisions, max_size=12))
def test_a_hull_has_one_pin_at_most_and_never_a_pin_and_a_skip_in_one_week(
    written: list[tuple[str, str, str | None]],
) -> None:
    holding = held(*written)
    for hull_id in ("H1", "H2"):
        own = [(change.split()[1], date.fromisoformat(day)) for change, day in holding
               if change.startswith(hull_id)]  # fmt: skip
        pins = {monday_of(day) for change, day in own if change == "pin"}
        assert len([change for change, _ in own if change == "pin"]) <= 1
        assert not pins & {day for change, day in own if change == "skip"}


def test_a_lifted_stop_holds_through_its_last_day_and_leaves_pins_alone() -> None:
    written = (("H1", "pin", "2031-06-04"), ("H1", "lift-stop", "2031-06-05"))
    both = [("H1 pin", "2031-06-04"), ("H1 lift-stop", "2031-06-05")]
    assert held(*written) == both
    assert held(*written, first_day=date(2031, 6, 5)) == both[1:]
    assert held(*written, first_day=date(2031, 6, 6)) == []


@pytest.mark.parametrize(("day", "reason"), [(None, "seen"), (MONDAY, " ")])
def test_a_stop_is_not_lifted_without_a_last_day_or_a_reason(
    tmp_path: Path, day: date | None, reason: str
) -> None:
    folder = usual_fleet(1).write(tmp_path)
    with pytest.raises(LogRefused, match="lift-stop of H1 has no"):
        decide(folder, "lift-stop", "H1", operator("office"), day=day, reason=reason)
    assert read_fleet(folder).plan_changes.empty
