"""The round of looks on paper: hull after hull, with boxes, limits and no score."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from corrosion.forecast.appraisal import Appraisal
from corrosion.reports.round_sheet import WHY, round_sheet
from corrosion.workshop.looks import Looks, schedule_looks
from corrosion.workshop.plan import make_plan

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def looks(appraised: Appraisal) -> Looks:
    plan = make_plan(appraised)
    table = schedule_looks(appraised, plan).table
    due = table[table["asks"] & table["with_pull_out"].isna()]
    schedule = schedule_looks(appraised, plan, due["look_by"].min())
    assert len(schedule.round)
    return schedule


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_look_of_the_round_has_its_boxes_and_nothing_else_has(
    looks: Looks, appraised: Appraisal, paper: str
) -> None:
    text = round_sheet(looks, appraised, paper)  # type: ignore[arg-type]
    assert text.count('class="fill"') == len(looks.round)
    for row in looks.round.itertuples():
        assert f"<bdi>{row.hull_id}</bdi>" in text
        assert WHY[row.why] in text
    others = set(looks.table["hull_id"]) - set(looks.round["hull_id"])
    assert not [hull for hull in others if f"<bdi>{hull}</bdi>" in text]


def test_each_mooring_begins_a_page_and_says_its_minutes(
    looks: Looks, appraised: Appraisal
) -> None:
    text = round_sheet(looks, appraised)
    assert text.count('<section class="sheet round">') == looks.round["mooring_id"].nunique()
    for _, rows in looks.round.groupby("mooring_id"):
        assert f"about {round(float(rows['minutes'].sum()))} min" in text


def test_the_sheet_bears_no_chance_and_no_score(looks: Looks, appraised: Appraisal) -> None:
    body = round_sheet(looks, appraised).split("<body>")[1]
    text = re.sub(r"<style>.*?</style>|<[^>]+>", " ", body, flags=re.DOTALL)
    assert "%" not in text
    assert not re.search(r"\b1 in \d", text)


def test_the_cautions_stand_before_the_work(looks: Looks, appraised: Appraisal) -> None:
    text = round_sheet(looks, appraised)
    assert text.index("key and lanyard out") < text.index('class="fill"')
    assert "Decision support" in text


def test_a_week_without_a_look_says_so(looks: Looks, appraised: Appraisal) -> None:
    far = schedule_looks(appraised, week=looks.week + timedelta(days=7 * 60))
    assert far.round.empty
    assert "Nothing is to be measured this week" in round_sheet(far, appraised)
