"""Rules worked through drawn seasons: hand-made seasons whose sums can be followed."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.appraisal import appraise
from corrosion.records import Settings
from corrosion.workshop.plan.prices import ASSUMED, OWN, PARTLY_OWN, TAKEN, Prices, read_prices
from corrosion.workshop.savings import compare_rules
from corrosion.workshop.savings.draws import MOST_LIVES, Season
from corrosion.workshop.savings.report import _spread
from corrosion.workshop.savings.rules import (
    AT_HALF,
    CALENDAR,
    Rule,
    Seen,
    plan_rule,
    rules_of_thumb,
)
from corrosion.workshop.savings.working import work_through
from tests.fleets import usual_fleet

pytestmark = pytest.mark.slow

WEEKS = 20


def season(
    pace: list[float], hull: list[int], *, gap_days: float = 7.0, age: float = 0.0
) -> Season:
    """Anodes that wear by `pace` of the allowance a week from new, without any luck."""
    k = len(pace)
    worn = np.outer(pace, np.arange(WEEKS + 1.0))
    anodes = pd.DataFrame(
        {
            "hull_id": [f"H{code}" for code in hull],
            "layout": "twin",
            "position": [f"p{at}" for at in range(k)],
            "access_group": "cover",
            "access_minutes": 30.0,
            "swap_h": 0.25,
            "part_cost": 20.0,
            "seal_cost": 3.0,
            "late_cost": 300.0,
        }
    )
    return Season(
        anodes=anodes, hull=np.array(hull), weeks=WEEKS, worn=worn[None], known=worn,
        known_sd=np.full_like(worn, 0.05), pace=np.ones((1, k, MOST_LIVES)),
        age_days=np.zeros(k), age_h=np.zeros(k), hours=np.outer(np.ones(k), 10.0 *
        np.arange(WEEKS + 1.0)), gap_days=np.full(k, gap_days), reading_sd=np.full(k, 1e-6),
        walk=0.0, used=np.zeros((1, k, WEEKS + 1)), growth=0.0,
    )  # fmt: skip


PRICES = Prices(pd.DataFrame(), 40.0, 0.75, 30.0, 0.0, ())


def never() -> Rule:
    def nobody(seen: Seen) -> np.ndarray:
        return np.zeros_like(seen.age_days)

    return Rule("never", nobody, lambda seen: nobody(seen) > 0, np.zeros(0))


def by_age(days: float) -> Rule:
    return Rule(
        "age", lambda seen: seen.age_days / days, lambda seen: seen.age_days >= days, np.zeros(0)
    )


def test_where_nobody_acts_days_past_the_limit_add_up_and_cost_by_the_day() -> None:
    # 1/10 a week: at its limit after ten weeks, past it for the other ten
    done = work_through(season([0.1], [0]), never(), PRICES)
    assert done.past_days[0] == pytest.approx(70.0, abs=1e-6)
    assert done.late[0] == pytest.approx(300.0 * 70.0 / 30.0, abs=1e-6)
    assert done.pull_outs[0] == done.parts[0] == done.work[0] == 0


def test_a_limit_reached_in_mid_week_counts_from_then_on() -> None:
    done = work_through(season([0.08], [0]), never(), PRICES)
    assert done.past_days[0] == pytest.approx(7 * (20 - 12.5), abs=1e-6)


def test_a_pull_out_is_hauled_once_opened_once_and_charged_for_each_anode() -> None:
    done = work_through(season([0.1, 0.1], [0, 0]), by_age(70.0), PRICES)
    # weeks 10 only: the next would be on the day that the season ends
    assert (done.pull_outs[0], done.changes[0]) == (1, 2)
    assert done.work[0] == pytest.approx(40.0 * (0.75 + 0.5 + 2 * 0.25))
    assert done.parts[0] == pytest.approx(2 * 23.0)
    assert done.cost[0] == done.parts[0] + done.work[0] + done.late[0]


def test_a_new_anode_starts_from_new() -> None:
    done = work_through(season([0.1], [0]), by_age(63.0), PRICES)
    assert done.past_days[0] == pytest.approx(0.0, abs=1e-6)
    assert done.changes[0] == 2


def test_replace_at_half_waits_for_the_reading_that_shows_it() -> None:
    costs = np.full(1, 300.0), np.full(1, 60.0)
    for gap, changes in ((7.0, 3), (700.0, 0)):
        each = season([0.1], [0], gap_days=gap)
        rule = next(r for r in rules_of_thumb(each, *costs) if r.name == AT_HALF)
        assert work_through(each, rule, PRICES).changes[0] == changes


def test_the_plan_rule_acts_before_the_limit_and_takes_a_neighbour_that_is_due() -> None:
    each = season([0.1, 0.08], [0, 0], gap_days=14.0)
    done = work_through(each, plan_rule(each, 0.1), PRICES)
    assert done.past_days[0] == 0
    assert done.changes[0] == 2 * done.pull_outs[0]


def test_a_hull_is_out_by_its_own_anodes_alone() -> None:
    each = season([0.1, 0.001], [0, 1], gap_days=14.0)
    done = work_through(each, plan_rule(each, 0.1), PRICES)
    assert done.changes[0] == done.pull_outs[0] == 1 + (WEEKS >= 18)


def test_the_calendar_mark_is_the_age_that_costs_least() -> None:
    # lives of 10 and 20 weeks, half and half; planned 60, late 60 + 3000: just before the first
    each = season([0.1, 0.05], [0, 1])
    each = replace(each, anodes=each.anodes.assign(position="same"))
    rule = next(
        r for r in rules_of_thumb(each, np.full(2, 3060.0), np.full(2, 60.0)) if r.name == CALENDAR
    )
    assert (rule.marks < 71.0).all()
    assert (rule.marks > 1.0).all()


def priced() -> dict[str, float]:
    return {"part_cost": 20.0, "seal_cost": 3.0, "access_minutes": 30.0, "swap_minutes": 15.0}


def fleet_folder(folder: Path, late_cost: float) -> Path:
    logs = usual_fleet(3).setting(wage_per_hour=40.0, tolerated_risk=0.1)
    for row in logs.rows["anode_positions"]:
        row |= priced() | {"late_cost": late_cost}
    for hull in ("H1", "H2", "H3"):
        logs.season(hull, "2031-04-02", 58)
        for week in range(2, 9):
            logs.reading(hull, "pencil", f"2031-{4 + week // 5:02d}-{1 + 7 * (week % 4):02d} 07:00",
                         9.0 - 0.2 * week)  # fmt: skip
    return logs.write(folder)


def test_every_rule_stands_beside_the_plans_with_its_range(tmp_path: Path) -> None:
    comparison = compare_rules(appraise(fleet_folder(tmp_path, 500.0), "2031-06-01"))
    table = comparison.table
    assert len(table) == 4
    for name in ("pull_outs", "past_days", "cost"):
        assert (table[f"{name}_low"] <= table[f"{name}_likely"]).all()
        assert (table[f"{name}_likely"] <= table[f"{name}_high"]).all()
    assert table["verdict"].iloc[1:].isin(["saves", "costs more", "cannot tell"]).all()
    saved = table["cost"] - table["cost"].iloc[0]
    assert table["saved"].iloc[1:].to_numpy() == pytest.approx(saved.iloc[1:].to_numpy())


def test_one_season_of_ruin_draws_the_mean_out_of_the_range_and_not_the_likely_value() -> None:
    # 19 seasons at 10 and one at 2000: the mean is 109.5, and 8 in 10 seasons lie at 10
    spread = _spread("cost", np.array([10.0] * 19 + [2000.0]))
    assert spread["cost"] > spread["cost_high"]
    assert spread["cost_low"] <= spread["cost_likely"] <= spread["cost_high"]


@pytest.mark.parametrize(
    ("wage", "cells", "basis"),
    [
        (40.0, {"part_cost": 20.0, "late_cost": 500.0}, OWN),
        (None, {"part_cost": 20.0}, PARTLY_OWN),
        (40.0, {}, PARTLY_OWN),
        (None, {}, TAKEN),
    ],
)
def test_it_is_said_whose_prices_a_saving_rests_on(
    wage: float | None, cells: dict[str, float], basis: str
) -> None:
    table = pd.DataFrame([{"layout": "twin", "position": "pencil", "circuit": "engine",
                           "access_group": None, "part_number": None}
                          | dict.fromkeys(ASSUMED, float("nan")) | cells])  # fmt: skip
    prices = read_prices(Settings(wage_per_hour=wage), table)
    assert prices.basis == basis
    assert (prices.basis == OWN) == (not any("cost" in line or "wage" in line
                                             for line in prices.assumed))  # fmt: skip


def test_where_lateness_costs_nothing_the_plan_is_said_not_to_save(tmp_path: Path) -> None:
    comparison = compare_rules(appraise(fleet_folder(tmp_path, 0.0), "2031-06-01"))
    calendar = comparison.table.set_index("rule").loc[CALENDAR]
    assert calendar["verdict"] != "saves"


def test_the_same_logs_give_the_same_answer(tmp_path: Path) -> None:
    folder = fleet_folder(tmp_path, 500.0)
    once, again = (compare_rules(appraise(folder, "2031-06-01")).table for _ in range(2))
    pd.testing.assert_frame_equal(once, again)
