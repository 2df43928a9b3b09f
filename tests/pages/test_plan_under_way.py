"""How far a plan is while it is worked out: what it tells, and what a page says of it."""

from pathlib import Path

import pytest

from corrosion.forecast import appraise
from corrosion.workshop import PlanProgress, make_plan
from pages._shared import under_way
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow


def test_what_is_said_follows_the_plan() -> None:
    assert under_way.said(PlanProgress("weighing"), "EUR") == "Weighing every hull on every day."
    first = under_way.said(PlanProgress("days", 1, 3), "EUR")
    assert first == "Round 1 of 3 at most: days and bays."
    later = under_way.said(PlanProgress("hires", 2, 3, 7174.0, 0.004), "EUR")
    assert later.startswith("Round 2 of 3 at most: half hours")
    assert "EUR 7\u202f200 in all, another could be cheaper by under 1 % at most" in later


def test_a_plan_tells_every_round(worn_fleet: FleetLogs, tmp_path: Path) -> None:
    steps: list[PlanProgress] = []
    plan = make_plan(appraise(worn_fleet.write(tmp_path), "2031-06-01"), watch=steps.append)
    assert [each.stage for each in steps[:2]] == ["weighing", "days"]
    assert steps[-1].stage == "reasons"
    rounds = [each.round for each in steps[1:-1]]
    assert rounds == sorted(rounds)
    assert 1 <= rounds[-1] <= steps[1].rounds
    known = [each.cost for each in steps if each.cost is not None]
    total = float(plan.costs.set_index("item")["amount"]["total"])
    assert not known or min(known) >= total - 0.01


def test_what_the_answer_raises_the_page_raises() -> None:
    def refuse() -> str:
        raise ValueError("the week is over")

    with pytest.raises(ValueError, match="the week is over"):
        under_way.wait_for(refuse, ("refused",), "Working …")
    assert under_way.wait_for(lambda: "planned", ("at once",), "Working …") == "planned"


def test_notes_do_not_pile_up() -> None:
    for number in range(2 * under_way.MOST_NOTES):
        under_way.teller("EUR", number)(PlanProgress("weighing"))
    assert len(under_way._notes) == under_way.MOST_NOTES
