"""The program reaches what it promises, on fleets whose physics its model does not know.

Bounds are this project's own. Fleets are drawn by fixed seeds, so a run is repeatable; margins
allow for what two or three fleets of a kind leave to chance.
"""

from __future__ import annotations

from functools import cache

import pandas as pd
import pytest

from tests.known_truth.exam import Exam, examine
from tests.known_truth.questions import put
from tests.known_truth.scores import score

pytestmark = pytest.mark.slow

SEEDS = {"standard": (1, 2, 3)}
OTHERWISE = (1, 2)
DATES = {"standard": 6}
FEWER = 3
HORIZONS = (7, 14, 28)

# kind: least AUC, least skill, most log loss, expected over observed, coverage; at 28 days
BOUNDS = {
    "standard": (0.990, 0.74, 0.055, (0.85, 1.15), (0.75, 0.87)),
    "nobookings": (0.985, 0.70, 0.070, (0.80, 1.20), (0.70, 0.90)),
    "late_bookings": (0.985, 0.70, 0.070, (0.80, 1.20), (0.70, 0.90)),
    "gamma": (0.980, 0.68, 0.075, (0.80, 1.20), (0.70, 0.90)),
    "nonlinear": (0.980, 0.68, 0.075, (0.80, 1.20), (0.70, 0.90)),
    "small8": (0.980, 0.65, 0.075, (0.75, 1.30), (0.65, 0.95)),
    "messy": (0.980, 0.68, 0.075, (0.80, 1.20), (0.70, 0.90)),
}


@cache
def judged(kind: str, route: str) -> pd.DataFrame:
    exam = Exam(DATES.get(kind, FEWER), HORIZONS, route)
    return pd.concat(
        [examine(kind, seed, exam) for seed in SEEDS.get(kind, OTHERWISE)], ignore_index=True
    )


def scored(kind: str, days: int, route: str = "appraisal") -> dict[str, float]:
    return score(judged(kind, route).query("days == @days"))


@pytest.mark.parametrize("days", HORIZONS)
def test_the_riskier_anode_is_told_from_the_safer_at_every_horizon(days):
    assert scored("standard", days)["auc"] >= 0.99


@pytest.mark.parametrize("kind", BOUNDS)
def test_risks_rank_anodes_and_beat_the_average(kind):
    least_auc, least_skill, most_loss, *_ = BOUNDS[kind]
    scores = scored(kind, 28)
    assert scores["auc"] >= least_auc
    assert scores["skill"] >= least_skill
    assert scores["log_loss"] <= most_loss


@pytest.mark.parametrize("kind", BOUNDS)
def test_as_many_anodes_wear_out_as_the_risks_add_up_to(kind):
    low, high = BOUNDS[kind][3]
    assert low <= scored(kind, 28)["expected_over_observed"] <= high


@pytest.mark.parametrize("kind", BOUNDS)
def test_intervals_of_days_left_hold_the_share_that_they_promise(kind):
    low, high = BOUNDS[kind][4]
    assert low <= scored(kind, 28)["covered"] <= high


@pytest.mark.parametrize("kind", BOUNDS)
def test_the_model_beats_a_straight_line_through_each_anode(kind):
    line = scored(kind, 28, "straight-line")
    assert scored(kind, 28)["log_loss"] < line["log_loss"]
    assert scored(kind, 28)["brier"] < line["brier"]


def test_a_straight_line_does_not_pass_this_exam():
    line = scored("standard", 28, "straight-line")
    assert line["skill"] < BOUNDS["standard"][1]
    assert line["log_loss"] > BOUNDS["standard"][2]
    assert not BOUNDS["standard"][4][0] <= line["covered"] <= BOUNDS["standard"][4][1]


@pytest.mark.parametrize("kind", BOUNDS)
def test_every_anode_truly_in_service_gets_a_forecast(kind):
    assert judged(kind, "appraisal")["judged"].mean() >= 0.99


def test_the_hull_that_comes_first_is_the_one_with_a_worn_anode():
    assert scored("standard", 28)["auc_hulls"] >= 0.96


def test_the_commands_say_what_the_appraisal_says():
    appraisal = examine("small8", 1, Exam(1, (7, 28), "appraisal"))
    columns = ["risk", "worn", "days_left_10", "days_left_90", "hull_risk"]
    for route, days in (("commands", (7, 28)), ("shell", (28,))):
        answers = examine("small8", 1, Exam(1, days, route))
        expected = appraisal[appraisal["days"].isin(days)].reset_index(drop=True)
        pd.testing.assert_frame_equal(answers[columns], expected[columns], rtol=1e-3, atol=1e-3)


def test_check_finds_inches_and_double_entries_and_leaves_sound_rows_alone():
    table = pd.concat([put("check", "messy", seed) for seed in OTHERWISE])
    shares = table.groupby("what")["share"].mean()
    assert shares["inches"] >= 0.98
    assert shares["twice"] >= 0.99
    assert shares["negative"] >= 0.99
    sound = table[table["what"].str.startswith("sound")]
    assert sound.groupby(["fleet", "log"])["share"].sum().max() <= 0.02


def test_check_leaves_a_clean_fleet_alone():
    table = put("check", "standard", 1)
    assert table.empty or table.groupby("log")["share"].sum().max() <= 0.01
