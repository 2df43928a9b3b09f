"""The plan of the demo fleet: what it keeps whatever it chooses, and what the command prints."""

import json
from collections import Counter
from datetime import date, timedelta

import pytest

from corrosion.command_line.run import main
from corrosion.common import formatting
from corrosion.forecast.appraisal import Appraisal
from corrosion.workshop.plan import (
    NEIGHBOURS,
    PULLS,
    Plan,
    left_that_week,
    pulls_of_week,
)
from tests.demo import DEMO, appraised_demo, planned_demo

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def demo() -> Appraisal:
    return appraised_demo()


@pytest.fixture(scope="module")
def plan() -> Plan:
    return planned_demo()


def test_no_cheaper_plan_exists_for_the_demo_fleet_and_no_rule_is_broken(plan: Plan) -> None:
    assert plan.proven
    assert plan.gap < 0.01
    assert plan.conflict == ""
    assert list(plan.pulls.columns) == list(PULLS)
    assert list(plan.neighbours.columns) == list(NEIGHBOURS)


def test_every_hull_is_planned_or_left_out_with_a_reason_and_no_hull_twice(
    demo: Appraisal, plan: Plan
) -> None:
    known = [*demo.forecast.hulls["hull_id"], *demo.forecast.not_judged["hull_id"]]
    assert sorted([*plan.pulls["hull_id"], *plan.left_out["hull_id"]]) == sorted(known)
    assert plan.left_out["reason"].str.len().gt(10).all()
    week = [*pulls_of_week(plan)["hull_id"], *left_that_week(plan)["hull_id"]]
    assert sorted(week) == sorted(known)


def test_bays_are_never_over_their_hulls_or_hours_and_work_on_their_weekdays(
    demo: Appraisal, plan: Plan
) -> None:
    bays = {bay.mooring_id: bay for bay in demo.logbook.settings.bays}
    for (mooring, day), jobs in plan.pulls.groupby(["mooring_id", "day"]):
        bay = bays[str(mooring)]
        assert isinstance(day, date)
        assert day.weekday() in bay.weekdays
        assert len(jobs) <= (bay.hulls_per_day or 99)
        assert jobs["hours"].sum() <= (bay.hours_per_day or 99.0) + 1e-6


def test_a_slot_a_week_is_kept_free_at_every_mooring(demo: Appraisal, plan: Plan) -> None:
    full = {bay.mooring_id: (bay.hulls_per_day or 0) * len(bay.weekdays)
            for bay in demo.logbook.settings.bays}  # fmt: skip
    weeks = Counter(
        (row.mooring_id, row.day - timedelta(days=row.day.weekday()))
        for row in plan.pulls.itertuples()
    )
    assert all(count <= full[mooring] - 1 for (mooring, _), count in weeks.items())


def test_no_hull_is_in_the_bay_while_a_hire_that_stays_runs(demo: Appraisal, plan: Plan) -> None:
    book, gone = demo.logbook.bookings, plan.hires[plan.hires["change"] != "look-first"]
    changed = set(zip(gone["hull_id"], gone["starts"], strict=True))
    timed = plan.pulls[plan.pulls["starts"].notna()]
    assert len(timed)
    for row in timed.itertuples():
        own = book[(book["hull_id"] == row.hull_id) & (book["starts"] < row.ends)]
        own = own[own["ends"] > row.starts]
        assert {(row.hull_id, start) for start in own["starts"]} <= changed


def test_no_more_pieces_are_used_before_a_delivery_than_lie_in_the_store(
    demo: Appraisal, plan: Plan
) -> None:
    settings = demo.logbook.settings
    soonest = min([settings.lead_days, *(each.days for each in settings.express.values())])
    there = demo.forecast.on.date() + timedelta(days=int(soonest))
    used: Counter[str] = Counter()
    for row in plan.pulls.itertuples():
        if row.day < there:
            used.update(row.parts)
    assert all(pieces <= settings.stock[part] for part, pieces in used.items())


def test_the_work_lowers_the_risk_and_each_line_says_why(plan: Plan) -> None:
    assert (plan.pulls["risk_after"] <= plan.pulls["risk_now"]).all()
    assert plan.pulls[["why", "slip"]].map(len).gt(20).all(axis=None)
    sums = plan.neighbours["visit_saved"] - plan.neighbours["life_thrown_away"]
    assert (sums - plan.neighbours["net"]).abs().max() < 0.02


def test_what_a_week_later_brings_is_set_beside_the_work_by_the_same_day(plan: Plan) -> None:
    for row in plan.pulls.itertuples():
        assert row.risk_after <= row.slip_risk_after + 1e-9 <= row.slip_risk + 2e-9
        chances = [formatting.chance(row.slip_risk), formatting.chance(row.slip_risk_after)]
        then = formatting.day(row.day + timedelta(days=7), "UTC", year=False)
        ends = (
            f"{chances[0]} either way" if len(set(chances)) == 1 else " instead of ".join(chances)
        )
        assert row.slip.endswith(f"chance of a worn anode by {then}: {ends}.")


def test_an_anode_replaced_at_a_loss_or_left_at_a_gain_says_why(plan: Plan) -> None:
    table = plan.neighbours
    against = (table["net"] >= 0) != (table["choice"] == "replace")
    sure = table["net"].abs() >= 1.0
    assert (against & sure).any(), "the demo holds a stop that is lifted at a loss"
    assert table.loc[against & sure, "because"].str.len().gt(10).all()
    assert (table.loc[~against, "because"] == "").all()
    loss = table[against & sure & (table["choice"] == "replace")]
    stopped = plan.pulls.set_index("hull_id")["stop"].reindex(loss["hull_id"]) != ""
    assert loss.loc[stopped.to_numpy(), "because"].str.contains("stop").any()


def test_the_command_prints_the_week_then_what_was_left_out(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["plan", str(DEMO), "--format", "json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    planned = [row for row in rows if row["day"]]
    assert planned
    assert rows[: len(planned)] == planned
    assert {row["day"] for row in planned} <= {f"2031-06-{day}" for day in range(16, 23)}
    assert all(isinstance(row["replace"], list) and isinstance(row["parts"], dict) for row in rows)
    assert all(row["why"] for row in rows)
    assert len({row["hull_id"] for row in rows}) == len(rows)


def test_a_week_that_is_over_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(DEMO), "--week", "2031-06-02"]) == 1
    assert "is over on 2031-06-16" in capsys.readouterr().err
