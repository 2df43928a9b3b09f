"""Parts and costs, as the manager and the owner read them."""

import re
from html import unescape
from pathlib import Path

import pytest

from corrosion.common import formatting
from corrosion.workshop.costs import add_up_costs
from corrosion.workshop.parts import count_parts
from corrosion.workshop.savings import compare_rules
from tests.demo import appraised_demo
from tests.fleets import FleetLogs
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow

NUMBER = "([0-9][0-9.\N{NARROW NO-BREAK SPACE}]*)"
LIKELY = f"{NUMBER} to {NUMBER}, most likely {NUMBER}"


@pytest.mark.parametrize("alone", [True, False])
def test_the_first_order_is_the_answer(run: Run, alone: bool) -> None:
    app = run("parts", None, alone)
    assert not app.exception
    first = count_parts(appraised_demo()).table.iloc[0]
    assert f"Order {int(first['order'])} of" in app.markdown[0].value
    assert str(first["part_number"]).replace("-", "\\-") in app.markdown[0].value


def test_every_part_has_a_row_and_the_picture_is_there(run: Run) -> None:
    app = run("parts", None)
    rows = lists(app)
    name = next(caption for caption in rows if caption.startswith("The most pressing"))
    for part in count_parts(appraised_demo()).table["part_number"]:
        assert part in rows[name]
    assert len(app.get("plotly_chart")) == 1


def test_the_weeks_of_the_address_are_the_weeks_shown(run: Run) -> None:
    app = run("parts", None, weeks="26")
    assert "26 weeks take" in said(app)


def test_parts_that_nobody_counted_are_not_ordered_but_said(
    run: Run, standing: Standing, worn_fleet: FleetLogs
) -> None:
    app = run("parts", standing(worn_fleet), on="2031-06-01")
    assert not app.exception
    assert "Nobody has counted the parts yet" in app.markdown[0].value
    assert "not counted" in said(app)
    assert "too few changes" in said(app)


def test_costs_say_a_hull_and_an_hour_and_what_the_plan_saves(run: Run) -> None:
    app = run("costs", None)
    assert not app.exception
    assert "a hull, " in app.markdown[0].value
    assert "an hour of hire" in app.markdown[0].value
    for rule in ("calendar", "hours", "replace at half"):
        assert f"Against **{rule}**" in said(app)
    assert len(app.get("plotly_chart")) == 2


def test_what_the_plan_saves_is_said_as_the_table_under_it_has_it(run: Run) -> None:
    app, number = run("costs", None), formatting.number
    sentence = next(each.value for each in app.markdown if "Against **calendar**" in each.value)
    assert "Not this fleet's money" not in sentence
    savings = compare_rules(appraised_demo()).table
    html = next(html for html in lists(app).values() if "The plan saves against it" in html)
    for row in savings[1:].to_dict("records"):
        low, high = number(row["saved_low"]), number(row["saved_high"])
        assert f"Against **{row['rule']}** the plan **saves** EUR {low} to {high}" in sentence
        assert f"saves: {low} to {high}" in unescape(html)
    for low, high, likely in re.findall(LIKELY, unescape(html) + sentence):
        ends = [
            float(each.replace("\N{NARROW NO-BREAK SPACE}", "")) for each in (low, likely, high)
        ]
        assert ends == sorted(ends), (low, likely, high)


def test_every_pull_out_of_the_year_can_be_traced(run: Run) -> None:
    table = add_up_costs(appraised_demo()).visits
    rows = lists(run("costs", None))
    name = next(caption for caption in rows if caption.startswith("The latest on top"))
    assert rows[name].count("<tr") - 1 == min(len(table), 100)


def test_a_fleet_without_prices_is_told_which_are_missing(
    run: Run, standing: Standing, worn_fleet: FleetLogs
) -> None:
    app = run("costs", standing(worn_fleet), on="2031-06-01")
    assert not app.exception
    assert "not known" in app.markdown[0].value
    assert "wage_per_hour in fleet.toml" in said(app).replace("\\", "")
    assert "is taken as the cost of a late change" in said(app).replace("\\", "")
    savings = next(each.value for each in app.markdown if "Against **calendar**" in each.value)
    assert savings.startswith("**Not this fleet's money:**")


@pytest.mark.parametrize("page", ["parts", "costs"])
def test_a_thin_fleet_and_no_fleet_get_a_page_all_the_same(
    run: Run, tmp_path: Path, standing: Standing, page: str, live_fleet: FleetLogs
) -> None:
    assert not run(page, standing(live_fleet)).exception
    refused = run(page, tmp_path / "none")
    assert not refused.exception
    assert "Start a fleet" in said(refused)
