"""The page of looks: the round, the dates, the sheet, the price."""

from __future__ import annotations

from pathlib import Path

import pytest

from corrosion.workshop.looks import Looks, schedule_looks
from tests.demo import appraised_demo, planned_demo
from tests.fleets import FleetLogs
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def demo() -> Looks:
    return schedule_looks(appraised_demo(), planned_demo())


@pytest.mark.parametrize("alone", [True, False])
def test_the_answer_counts_the_round(run: Run, demo: Looks, alone: bool) -> None:
    app = run("looks", None, alone)
    assert not app.exception
    anodes, hulls = len(demo.round), demo.round["hull_id"].nunique()
    assert f"{anodes} anodes on {hulls} hulls to measure" in app.markdown[0].value


def test_every_hull_of_the_round_has_a_row_at_its_mooring(run: Run, demo: Looks) -> None:
    rows = lists(run("looks", None))
    # a long round's further hulls are folded away below those that come first
    parts = ("in the order of a walk", "walked on")
    walked = "".join(text for name, text in rows.items() if any(part in name for part in parts))
    for hull in demo.round["hull_id"].unique():
        assert f">{hull}<" in walked


def test_every_anode_has_its_date_in_the_order_of_dates(run: Run, demo: Looks) -> None:
    rows = lists(run("looks", None))
    name = next(caption for caption in rows if caption.startswith("The first on top"))
    assert rows[name].count("<tr") - 1 == min(len(demo.table), 60)


def test_the_price_is_worked_out_when_it_is_asked_for(run: Run) -> None:
    app = run("looks", None)
    assert not app.get("plotly_chart")
    app.toggle(key="price").set_value(True).run()
    assert not app.exception
    assert len(app.get("plotly_chart")) == 1
    assert "A look of the schedule that is left out costs about" in said(app)


def test_what_is_assumed_is_said_and_a_fleet_without_prices_gets_its_dates(
    run: Run, standing: Standing, worn_fleet: FleetLogs
) -> None:
    app = run("looks", standing(worn_fleet), on="2031-06-01")
    assert not app.exception
    assert "No stray" in said(app)
    assert "The next look at every anode" in [each.label for each in app.expander]


def test_a_thin_fleet_and_no_fleet_get_a_page_all_the_same(
    run: Run, tmp_path: Path, standing: Standing, live_fleet: FleetLogs
) -> None:
    assert not run("looks", standing(live_fleet)).exception
    refused = run("looks", tmp_path / "none")
    assert not refused.exception
    assert "Start a fleet" in said(refused)
