"""What the desk was told of hires: kept with the plan, held against the book and today's plan."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from corrosion.common import Refusal
from corrosion.forecast import Appraisal, appraise
from corrosion.records import Role, Writer, append, check_logs, operator, read_fleet
from corrosion.records.logbook import appending
from corrosion.workshop import HiresTold, Plan, hires_since_issue, issue_plan, issues
from tests.fleets import FleetLogs, usual_fleet
from tests.plans import a_plan, left, pull

pytestmark = pytest.mark.slow

ISSUED_AT = pd.Timestamp("2031-06-02 05:30", tz="UTC")
TUESDAY = pd.Timestamp("2031-06-03 08:00", tz="UTC")
OFFICE, DESK = operator("office"), operator("desk")


def hire(
    hull_id: str, change: str = "move", to: str = "", starts: pd.Timestamp = TUESDAY
) -> dict[str, object]:
    return {
        "starts": starts, "ends": starts + pd.Timedelta(hours=2), "hull_id": hull_id,
        "to_hull_id": to, "change": change, "cost": 10.0 if to else 0.0,
        "why": f"{hull_id} is in the bay", "mooring_id": "E", "kind": "twin",
    }  # fmt: skip


def planned(*hires: dict[str, object], on: pd.Timestamp = ISSUED_AT) -> Plan:
    stay = tuple(left(f"H{n}") for n in (2, 3, 4))
    plan = a_plan(pull("H1", "2031-06-04"), stay=stay, on=f"{on:%Y-%m-%d %H:%M}")
    return replace(plan, hires=pd.DataFrame(list(hires), columns=list(hire("H1"))))


MOVES = planned(hire("H1", to="H2"))


def four_hulls() -> FleetLogs:
    """Four hulls with a season behind them; H1 and H3 are hired out on Tuesday morning."""
    fleet = usual_fleet(4).setting(timezone="Europe/Lisbon")
    for hull_id in ("H1", "H2", "H3", "H4"):
        fleet.season(hull_id, "2031-04-02", 55)
        fleet.reading(hull_id, "pencil", "2031-05-20 07:00", 8.0)
    fleet.booking("H1", "2031-06-03 08:00", "2031-06-03 10:00", entry_id="hire-1")
    return fleet.booking("H3", "2031-06-03 08:00", "2031-06-03 10:00")  # named by what it says


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return four_hulls().write(tmp_path)


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    """What the plan rested on when it was issued."""
    return appraise(four_hulls().write(tmp_path_factory.mktemp("before")), ISSUED_AT)


def issue(folder: Path, before: Appraisal, plan: Plan = MOVES, **how: object) -> str:
    return issue_plan(folder, plan, before, OFFICE, **({"now": ISSUED_AT} | how))  # type: ignore[arg-type]


def since(folder: Path, plan: Plan = MOVES, on: pd.Timestamp | None = None) -> HiresTold:
    moment = on or ISSUED_AT + pd.Timedelta(hours=3)
    return hires_since_issue(replace(plan, on=moment), read_fleet(folder, moment))


def book(folder: Path, hull_id: str, **cells: object) -> None:
    """The desk writes into the book, two hours after the plan was issued."""
    starts = pd.Timestamp(str(cells.pop("starts", TUESDAY)))
    row = {"hull_id": hull_id, "starts": starts, "ends": starts + pd.Timedelta(hours=2)} | cells
    append(folder, "bookings", pd.DataFrame([row]), DESK, ISSUED_AT + pd.Timedelta(hours=2))


def what(told: HiresTold) -> list[str]:
    return told.rows["what"].tolist()


def test_an_issued_plan_keeps_what_the_desk_was_told_of_each_hire(
    folder: Path, before: Appraisal
) -> None:
    plan_id = issue(folder, before, planned(hire("H1", to="H2"), hire("H3", "look-first")))
    log = read_fleet(folder, "2031-07-01").plan_hires
    assert log["plan_id"].tolist() == [plan_id, plan_id]
    assert log["hull_id"].tolist() == ["H1", "H3"]
    assert log["to_hull_id"].tolist() == ["H2", None]
    assert log["change"].tolist() == ["move", "look-first"]
    assert log["why"].iloc[0] == "H1 is in the bay"
    assert log["booking"].iloc[0] == "hire-1"
    assert log["booking"].iloc[1].startswith("row-")
    assert log["entered_by"].unique().tolist() == ["office"]
    assert read_fleet(folder, "2031-07-01").plans["hires_told"].unique().tolist() == [2.0]


def test_sent_twice_it_is_written_once_and_another_word_on_a_hire_is_another_plan(
    folder: Path, before: Appraisal
) -> None:
    first = issue(folder, before, plan_id="p")
    assert issue(folder, before, plan_id="p", now=ISSUED_AT + pd.Timedelta(minutes=1)) == first
    now = appraise(folder, ISSUED_AT + pd.Timedelta(minutes=5))
    assert issue(folder, now) == first  # it asks for the same
    assert len(read_fleet(folder, "2031-07-01").plan_hires) == 1
    second = issue(folder, now, planned(hire("H1", to="H4")), now=now.logbook.on)
    logbook = read_fleet(folder, "2031-07-01")
    assert second != first
    assert logbook.plan_hires["to_hull_id"].tolist() == ["H2", "H4"]


def test_who_may_not_issue_writes_neither_the_plan_nor_its_hires(
    folder: Path, before: Appraisal
) -> None:
    dock = Writer("dock", lambda _: Role.LOG)
    with pytest.raises(Refusal, match="takes the role manage"):
        issue_plan(folder, MOVES, before, dock, now=ISSUED_AT)
    logbook = read_fleet(folder, "2031-07-01")
    assert logbook.plans.empty
    assert logbook.plan_hires.empty


def test_an_issue_that_stops_between_its_two_files_is_no_plan_and_is_completed_by_the_next_try(
    folder: Path, before: Appraisal, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = appending.put_in_place

    def full(beside: Path, file: Path) -> None:
        if file.parent.name == "plans":
            raise OSError(28, "No space left on device")
        whole(beside, file)

    with monkeypatch.context() as disk:
        disk.setattr(appending, "put_in_place", full)
        with pytest.raises(Refusal, match=r"[Nn]o space|full"):
            issue(folder, before, plan_id="p")
    assert issues(read_fleet(folder, "2031-07-01").plans, before.logbook.settings.timezone).empty
    assert not since(folder).kept
    issue(folder, before, plan_id="p", now=ISSUED_AT + pd.Timedelta(minutes=1))
    told = since(folder)
    assert (told.kept, told.lost, what(told)) == (True, 0, ["not-yet"])


def test_a_plan_of_before_hires_were_kept_says_that_it_did_not_keep_them(
    before: Appraisal, tmp_path: Path
) -> None:
    fleet = four_hulls().add(
        "plans", plan_id="old", hull_id="H1", issued_at=str(ISSUED_AT), week="2031-06-02"
    )
    told = since(fleet.write(tmp_path))
    assert not told.kept
    assert told.rows.empty


def test_a_plan_that_tells_of_no_hire_keeps_that(folder: Path, before: Appraisal) -> None:
    issue(folder, before, planned())
    told = since(folder, planned())
    assert told.kept
    assert told.rows.empty
    assert what(since(folder)) == ["not-told"]


def test_rows_that_are_gone_from_the_log_are_missed(folder: Path, before: Appraisal) -> None:
    issue(folder, before)
    for file in (folder / "plan_hires").glob("*.parquet"):
        file.unlink()
    assert since(folder).lost == 1


def objections(folder: Path) -> set[str]:
    findings = check_logs(read_fleet(folder, ISSUED_AT + pd.Timedelta(hours=3))).findings
    return {"hire-of-no-plan", "plan-hires-not-whole"} & set(findings["rule"])


def test_the_check_objects_to_a_plan_and_its_hires_only_where_one_lacks_the_other(
    folder: Path, before: Appraisal, tmp_path: Path
) -> None:
    issue(folder, before, planned(hire("H1", to="H2"), hire("H3", "look-first")))
    assert objections(folder) == set()
    for lacks, objection in (("plan_hires", "plan-hires-not-whole"), ("plans", "hire-of-no-plan")):
        copy = tmp_path / f"without-{lacks}"
        shutil.copytree(folder, copy)
        shutil.rmtree(copy / lacks)
        assert objections(copy) == {objection}


def nothing(_: Path) -> None:
    """The desk does nothing."""


def moved_to(hull_id: str) -> Callable[[Path], None]:
    return lambda folder: book(folder, hull_id, corrects="hire-1")


def struck_out(folder: Path) -> None:
    book(folder, "H1", corrects="hire-1", void=True)


def written_anew(folder: Path) -> None:
    struck_out(folder)
    book(folder, "H2")


def put_off(folder: Path) -> None:
    book(folder, "H1", corrects="hire-1", starts="2031-06-03T14:00Z")


@pytest.mark.parametrize(
    ("change", "to", "act", "became", "ends_with"),
    [
        ("move", "H2", nothing, "not-yet", "was to move to H2; the book still has it on H1."),
        ("move", "H2", moved_to("H2"), "as-told", "the book has it on H2, as told."),
        ("move", "H2", written_anew, "as-told", "the book has it on H2, as told."),
        ("move", "H2", moved_to("H4"), "otherwise", "the book has it on H4."),
        ("move", "H2", struck_out, "otherwise", "the book no longer has it."),
        (
            "move", "H2", put_off, "otherwise",
            "has it on H1 from Tue 3 Jun 2031, 15:00 to Tue 3 Jun 2031, 17:00.",
        ),
        ("cancel", "", struck_out, "as-told", "the book no longer has it, as told."),
        ("cancel", "", nothing, "not-yet", "to be called off; the book still has it on H1."),
        ("cancel", "", moved_to("H4"), "otherwise", "the book has it on H4."),
        ("look-first", "", nothing, "not-yet", "for a look; no look is written down since."),
    ],
)  # fmt: skip
def test_what_became_of_a_hire_is_what_the_book_says(
    folder: Path, before: Appraisal, change: str, to: str, act: Callable[[Path], None],
    became: str, ends_with: str,
) -> None:  # fmt: skip
    plan = planned(hire("H1", change, to))
    issue(folder, before, plan)
    act(folder)
    today = plan if act is nothing else planned()
    told = since(folder, today)
    assert what(told) == [became]
    assert told.rows["said"].iloc[0].startswith("Hire of H1, Tue 3 Jun 2031, 09:00, was to ")
    assert told.rows["said"].iloc[0].endswith(ends_with)
    assert told.rows["why"].iloc[0] == "H1 is in the bay"


def test_a_hire_that_waited_for_a_look_is_done_when_a_look_is_written_down(
    folder: Path, before: Appraisal
) -> None:
    issue(folder, before, planned(hire("H1", "look-first")))
    look = {"hull_id": "H1", "position": "pencil", "read_at": ISSUED_AT + pd.Timedelta(hours=1)}
    append(folder, "readings", pd.DataFrame([look | {"size_mm": 7.9}]), DESK, ISSUED_AT)
    told = since(folder, planned())
    assert what(told) == ["as-told"]
    assert "pencil looked at or changed on Mon 2 Jun" in told.rows["said"].iloc[0]


def test_a_booking_from_elsewhere_that_has_no_name_is_known_by_hull_and_start(
    folder: Path, before: Appraisal
) -> None:
    issue(folder, before, planned(hire("H3", to="H4")))
    for file in (folder / "bookings").glob("*.parquet"):
        file.unlink()  # the booking program writes its whole book anew, with no names that stay
    book(folder, "H4", entry_id="new-1")
    book(folder, "H1", entry_id="new-2")
    assert what(since(folder, planned())) == ["as-told"]


@pytest.mark.parametrize(
    ("today", "became", "said"),
    [
        (planned(), "no-longer", "by today's plan it stays as it is booked."),
        (planned(hire("H1", to="H4")), "told-anew", "by today's plan it moves to H4."),
        (planned(hire("H1", "cancel")), "told-anew", "by today's plan it is called off."),
    ],
)
def test_todays_plan_beside_what_the_desk_was_told(
    folder: Path, before: Appraisal, today: Plan, became: str, said: str
) -> None:
    issue(folder, before)
    told = since(folder, today)
    assert what(told) == [became]
    assert told.rows["said"].iloc[0].endswith(said)


def test_a_hire_that_moved_as_told_and_has_to_move_again_is_told_of_once(
    folder: Path, before: Appraisal
) -> None:
    issue(folder, before)
    moved_to("H2")(folder)
    told = since(folder, planned(hire("H2", to="H4")))
    assert what(told) == ["told-anew"]
    assert told.rows["said"].iloc[0].endswith("on H2, as told; by today's plan it moves to H4.")


def test_a_hire_that_has_begun_where_it_was_booked_is_asked_about(
    folder: Path, before: Appraisal
) -> None:
    issue(folder, before)
    told = since(folder, planned(), TUESDAY + pd.Timedelta(hours=1))
    assert what(told) == ["not-recorded"]
    assert told.rows["said"].iloc[0].endswith("still has it on H1: was it done?")


def test_what_an_earlier_plan_told_and_the_last_leaves_out_is_still_told_while_it_is_ahead(
    folder: Path, before: Appraisal
) -> None:
    issue(folder, before)
    now = appraise(folder, ISSUED_AT + pd.Timedelta(minutes=30))
    issue(folder, now, planned(hire("H3", to="H4")), now=now.logbook.on)
    told = since(folder, planned(hire("H3", to="H4")))
    assert dict(zip(told.rows["hull_id"], told.rows["what"], strict=True)) == {
        "H1": "no-longer",
        "H3": "not-yet",
    }
    assert (
        "by the plan issued Mon 2 Jun 2031, 06:30, which is not the last"
        in (told.rows["said"].iloc[0])
    )
    after = since(folder, planned(), TUESDAY + pd.Timedelta(hours=1))
    assert after.rows["hull_id"].tolist() == ["H3"]


def test_a_look_back_from_before_the_issue_knows_of_no_hire_told(
    folder: Path, before: Appraisal
) -> None:
    issue(folder, before)
    assert not since(folder, on=ISSUED_AT - pd.Timedelta(minutes=1)).kept
