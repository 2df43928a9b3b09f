"""Plans that were issued: kept as they were, and what became of them."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from corrosion.common.errors import LogRefused
from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.records import operator
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from corrosion.workshop.issued import issue_plan, plan_rows
from corrosion.workshop.issues import issued_plan, issues, newest_issue
from corrosion.workshop.overrides import standing_changes
from corrosion.workshop.plan import Plan
from corrosion.workshop.plan_deviation import since_issue
from tests.fleets import FleetLogs, usual_fleet
from tests.plans import a_plan, left, pull

pytestmark = pytest.mark.slow

Drift = Callable[..., dict[str, tuple[str, str]]]
MONDAY = date(2031, 6, 2)
ISSUED_AT = pd.Timestamp("2031-06-02 05:30", tz="UTC")


def four_hulls() -> FleetLogs:
    """Four hulls with a season of outings and a look or two, so that they can be judged."""
    fleet = usual_fleet(4).setting(timezone="Europe/Lisbon")
    for hull_id in ("H1", "H2", "H3", "H4"):
        fleet.season(hull_id, "2031-04-02", 55)
        for day, share in ((20, 0.3), (50, 0.8)):
            at = pd.Timestamp("2031-04-01 07:00") + pd.Timedelta(days=day)
            fleet.reading(hull_id, "pencil", str(at), 9.0 - 2.0 * share)
            fleet.reading(hull_id, "plate", str(at), 15.0 - share)
    return fleet


@pytest.fixture
def fleet() -> FleetLogs:
    return four_hulls()


@pytest.fixture
def folder(fleet: FleetLogs, tmp_path: Path) -> Path:
    return fleet.write(tmp_path)


@pytest.fixture(scope="module")
def appraisal(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    """What the plan rested on when it was issued."""
    return appraise(four_hulls().write(tmp_path_factory.mktemp("before")), ISSUED_AT)


USUAL = a_plan(
    pull("H1", "2031-06-04", replace=("pencil", "plate"), parts={"A": 1, "B": 1}, seals={"A": 1}),
    pull("H2", "2031-06-05", measure=("pencil",)),
    stay=(left("H3"), left("H4")),
)


def plans_of(folder: Path) -> pd.DataFrame:
    return read_fleet(folder, "2031-07-01").plans


def issue_usual(folder: Path, appraisal: Appraisal, plan: Plan = USUAL, **how: object) -> str:
    return issue_plan(folder, plan, appraisal, operator("office"), now=ISSUED_AT, **how)  # type: ignore[arg-type]


def test_an_issued_plan_has_a_row_for_every_hull_in_service(
    folder: Path, appraisal: Appraisal
) -> None:
    plan_id = issue_usual(folder, appraisal)
    kept = issued_plan(plans_of(folder), plan_id, appraisal.logbook.settings.timezone)
    assert kept["hull_id"].tolist() == ["H1", "H2", "H3", "H4"]
    assert kept["day"].tolist() == [date(2031, 6, 4), date(2031, 6, 5), None, None]
    assert kept["replace"].tolist() == ["pencil, plate", "", "", ""]
    assert kept["measure"].tolist() == ["", "pencil", "", ""]
    assert kept["parts"].iloc[0] == "1 x A, 1 x B; seals: 1 x A"
    assert set(kept["week"]) == {MONDAY}
    assert kept["why"].tolist()[2:] == ["not due", "not due"]
    assert kept["method"].str.len().min() > 0
    assert set(kept["entered_by"]) == {"office"}


def test_a_plan_that_is_sent_twice_is_issued_once(folder: Path, appraisal: Appraisal) -> None:
    for _ in range(2):
        issue_usual(folder, appraisal, plan_id="2031-06-02-a")
    assert len(plans_of(folder)) == 4


def test_an_issued_plan_stays_as_it_was_when_a_later_one_is_issued(
    folder: Path, appraisal: Appraisal
) -> None:
    zone = appraisal.logbook.settings.timezone
    first = issue_usual(folder, appraisal)
    before = issued_plan(plans_of(folder), first, zone)
    later = a_plan(pull("H3", "2031-06-05"), stay=(left("H1"), left("H2"), left("H4")))
    second = issue_plan(
        folder, later, appraisal, operator("office"), now=ISSUED_AT + pd.Timedelta(hours=3)
    )
    plans = plans_of(folder)
    pd.testing.assert_frame_equal(issued_plan(plans, first, zone), before)
    assert issues(plans, zone)["plan_id"].tolist() == [second, first]
    assert newest_issue(plans, MONDAY, zone)["plan_id"].unique().tolist() == [second]
    assert newest_issue(plans, date(2031, 5, 26), zone).empty


def test_where_nothing_was_issued_there_is_no_newest_plan(
    folder: Path, appraisal: Appraisal
) -> None:
    zone = appraisal.logbook.settings.timezone
    assert issues(plans_of(folder), zone).empty
    assert newest_issue(plans_of(folder), MONDAY, zone)["hull_id"].tolist() == []


def test_a_look_back_from_before_the_issue_does_not_know_of_it(
    folder: Path, appraisal: Appraisal
) -> None:
    issue_usual(folder, appraisal)
    assert read_fleet(folder, ISSUED_AT - pd.Timedelta(minutes=1)).plans.empty
    assert len(read_fleet(folder, ISSUED_AT).plans) == 4


def test_a_hull_that_cannot_be_judged_is_on_the_plan_with_its_reason(
    fleet: FleetLogs, tmp_path: Path
) -> None:
    fleet.hull("H9", layout="unheard of", in_service="2031-04-01").berth("H9", "E")
    appraisal = appraise(fleet.write(tmp_path), ISSUED_AT)
    rows = plan_rows(USUAL, appraisal, "p", ISSUED_AT).set_index("hull_id")
    assert "H9" in rows.index
    assert rows.loc["H9", "why"]
    assert pd.isna(rows.loc["H9", "day"])


def test_nobody_issues_a_plan_without_a_role(folder: Path, appraisal: Appraisal) -> None:
    with pytest.raises(LogRefused, match="role or a shift"):
        issue_plan(folder, USUAL, appraisal, operator(" "))
    assert plans_of(folder).empty


@pytest.fixture
def drift(appraisal: Appraisal, fleet: FleetLogs, tmp_path: Path) -> Drift:
    """Issue the usual plan, write the fleet as it is later, and compare."""

    def compared(now: Plan, on: str = "2031-06-03 18:00") -> dict[str, tuple[str, str]]:
        log = plan_rows(USUAL, appraisal, "p", ISSUED_AT).assign(entered_by="office")
        zone = appraisal.logbook.settings.timezone
        checked = check_logs(read_fleet(fleet.write(tmp_path), on))
        decided = standing_changes(checked.plan_changes, zone, MONDAY)
        found = since_issue(issued_plan(log, "p", zone), now, checked, decided)
        return {row.hull_id: (row.what, row.said) for row in found.itertuples()}

    return compared


def later(*rows: dict[str, object], on: str = "2031-06-03 18:00", **how: object) -> Plan:
    out = {row["hull_id"] for row in rows}
    stay = tuple(left(f"H{n}") for n in range(1, 5) if f"H{n}" not in out)
    return a_plan(*rows, stay=stay, on=on, **how)  # type: ignore[arg-type]


H1 = pull("H1", "2031-06-04", replace=("pencil", "plate"))
H2 = pull("H2", "2031-06-05", measure=("pencil",))


def test_a_plan_that_stands_has_no_changes(fleet: FleetLogs, drift: Drift) -> None:
    assert drift(later(H1, H2)) == {}


def test_a_reading_that_takes_a_hull_off_the_plan_is_said(fleet: FleetLogs, drift: Drift) -> None:
    fleet.reading("H1", "pencil", "2031-06-03 09:00", 8.6)
    what, said = drift(later(H2))["H1"]
    assert what == "left-out"
    assert said == ("H1 was planned for Wed 4 Jun; now left out: pencil read 8.6 mm on Tue 3 Jun.")


def test_a_decision_that_moves_a_hull_is_said_with_its_reason(
    fleet: FleetLogs, drift: Drift
) -> None:
    decision = {"change": "hire-out", "reason": "last one with a canopy"}
    fleet.add("plan_changes", hull_id="H1", decided_at="2031-06-03 09:00", **decision)
    assert drift(later(pull("H1", "2031-06-12"), H2))["H1"] == (
        "moved",
        "H1 was planned for Wed 4 Jun; now on Thu 12 Jun; hired out by decision "
        "(last one with a canopy).",
    )


def test_without_a_reading_the_plans_own_reason_is_said(fleet: FleetLogs, drift: Drift) -> None:
    assert drift(later(H2))["H1"][1].endswith("now left out: not due.")


def test_a_hull_that_moves_and_one_that_is_new_are_said(fleet: FleetLogs, drift: Drift) -> None:
    found = drift(later(pull("H1", "2031-06-06"), H2, pull("H4", "2031-06-05")))
    assert found == {
        "H1": ("moved", "H1 was planned for Wed 4 Jun; now on Fri 6 Jun."),
        "H4": ("new", "H4 was to stay; now out on Thu 5 Jun: pencil near its limit."),
    }


def test_other_work_on_the_same_day_is_said(fleet: FleetLogs, drift: Drift) -> None:
    what, said = drift(later(pull("H1", "2031-06-04", replace=("pencil",)), H2))["H1"]
    assert what == "other-work"
    assert said.endswith("and still is; no longer to replace: plate.")


def test_work_that_was_written_down_is_done_and_what_is_missing_is_named(
    fleet: FleetLogs, drift: Drift
) -> None:
    fleet.fitting("H1", "pencil", "2031-06-05 09:00")
    fleet.reading("H2", "pencil", "2031-06-05 10:00", 8.0)
    found = drift(later(on="2031-06-05 18:00"), "2031-06-05 18:00")
    assert found == {
        "H1": (
            "done",
            "H1 was planned for Wed 4 Jun; pencil replaced on Thu 5 Jun; plate not replaced.",
        ),
        "H2": ("done", "H2 was planned for Thu 5 Jun; pencil looked at that day."),
    }


def test_a_day_that_passed_without_an_entry_asks_whether_it_was_done(
    fleet: FleetLogs, drift: Drift
) -> None:
    now = later(pull("H1", "2031-06-10"), week="2031-06-09", on="2031-06-09 18:00")
    found = drift(now, "2031-06-09 18:00")
    assert found["H1"] == (
        "not-recorded",
        "H1 was planned for Wed 4 Jun; no work is written down: was it done? "
        "It is planned again, for Tue 10 Jun.",
    )
    assert found["H2"][1].endswith("no work is written down: was it done?")


def test_what_moves_in_weeks_beyond_is_left_alone(fleet: FleetLogs, drift: Drift) -> None:
    assert drift(later(H1, H2, pull("H4", "2031-06-20"))) == {}
