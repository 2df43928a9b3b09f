"""The page about moorings, on a full fleet, one mooring alone, few hulls, no looks, and damage."""

import json
from html import unescape

import pytest

from corrosion.common import formatting
from corrosion.comparison.moorings import FEWEST_HULLS, study_moorings
from tests.demo import appraised_demo
from tests.fleets import FleetLogs
from tests.pages.reading import DEMO, Run, Standing, lists, said
from tests.wearing import Group, wearing_fleet

pytestmark = pytest.mark.slow

SALT, LAKE = Group("estuary", "salt", 6, 1, 0.012), Group("lake", "fresh", 5, 2, 0.003)


def opened(run: Run, standing: Standing, fleet: FleetLogs, **address: str):
    app = run("moorings", standing(fleet), on="2031-07-12", **address)
    assert not app.exception
    return app


def figures(app) -> list[str]:
    return [json.dumps(json.loads(each.proto.spec)) for each in app.get("plotly_chart")]


def test_the_demo_says_who_wears_harder_with_range_and_hulls(run: Run) -> None:
    app = run("moorings", DEMO)
    assert not app.exception
    words = said(app)
    assert "Simulated" in words
    assert "With use, flushing, berthing and layout held equal" in words
    assert "times as long as at Brennick Mouth" in words
    assert "were pulled early" in words
    assert "polyhaline" in words
    assert {
        "Times the mean wear of the fleet, with the 95 % interval. Hardest water first."
    } <= set(lists(app))
    assert len(figures(app)) == 3


def test_the_headline_says_the_lives_of_the_list_under_it_and_no_life_that_was_not_seen(
    run: Run,
) -> None:
    app, number = run("moorings", DEMO), formatting.number
    study = study_moorings(appraised_demo())
    headline = next(each.value for each in app.markdown if "An engine anode at" in each.value)
    html = unescape(next(html for html in lists(app).values() if "An engine anode lasts" in html))
    table = study.comparison.table
    lives = table[table["compared"]].sort_values("life_h")
    short, far = lives.iloc[0], lives.iloc[-1]
    own = study.reach.set_index("mooring_id").loc[far["mooring_id"]]
    assert own["worn"] == 0
    assert own["seen_h"] < far["life_h"]
    seen = number(own["seen_h"])
    assert f"more than {number(own['seen_h'] / short['life_h'])} times as long" in headline
    assert f"over {seen} engine hours" in headline
    assert f"<b>over {seen} h</b>" in html
    assert f"<b>{number(short['life_h'])} h</b>" in html
    for row in (short, far):
        ends = f"({number(row['life_low_h'])} to {number(row['life_high_h'])})"
        assert f"{number(row['life_h'])} engine hours {ends}" in headline
    assert f"<b>{number(far['life_h'])} h</b>" not in html, "nobody saw it last so long"


def test_two_moorings_are_told_apart_with_the_life_at_each(run: Run, standing: Standing) -> None:
    app = opened(run, standing, wearing_fleet(SALT, LAKE))
    answer = next(each.value for each in app.markdown if "An anode at" in each.value)
    assert "An anode at estuary lasts about a quarter as long as at lake" in answer
    assert "from 6 hulls at estuary and 5 at lake" in answer


def test_one_mooring_alone_gives_its_life_and_nothing_to_compare(
    run: Run, standing: Standing
) -> None:
    app = opened(run, standing, wearing_fleet(SALT))
    assert "Nothing to compare: only estuary has 5 hulls or more" in said(app)
    assert "Two moorings with 5 hulls or more are needed" in said(app)


def test_groups_under_five_hulls_are_named_and_their_numbers_are_nowhere(
    run: Run, standing: Standing
) -> None:
    few = Group("jetty", "brackish", FEWEST_HULLS - 1, 2, 0.005)
    app = opened(run, standing, wearing_fleet(SALT, few))
    shown = lists(app)
    assert "jetty" in shown["Groups under 5 hulls are not shown: they would speak of single boats."]
    compared = shown[
        "Times the mean wear of the fleet, with the 95 % interval. Hardest water first."
    ]
    assert "jetty" not in compared
    assert not any("jetty" in figure for figure in figures(app) if "fleet's mean" in figure)


def test_no_looks_at_all_still_give_a_page_and_say_that_raw_is_not_known(
    run: Run, standing: Standing
) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    fleet.rows["readings"].clear()
    words = said(opened(run, standing, fleet))
    assert "no look tells" in words
    assert "No water was sampled" in words


def test_damaged_logs_are_refused_in_the_frame(run: Run, standing: Standing) -> None:
    folder = standing(wearing_fleet(SALT))
    next((folder / "moorings").iterdir()).write_bytes(b"no Parquet")
    app = run("moorings", folder, on="2031-07-12")
    assert not app.exception
    assert "No answer from these logs" in said(app)


def test_a_mooring_without_hulls_is_listed_as_not_compared(run: Run, standing: Standing) -> None:
    words = said(opened(run, standing, wearing_fleet(SALT, LAKE).mooring("far", "brackish")))
    assert "No hull ever lay there in service." in words


@pytest.fixture
def mixed() -> FleetLogs:
    return wearing_fleet(SALT, LAKE)


def test_a_move_says_anodes_a_year_before_and_there_and_asks_for_a_look(
    run: Run, standing: Standing, mixed: FleetLogs
) -> None:
    app = opened(run, standing, mixed)
    app.multiselect(key="movers").set_value(["H07"])
    app.selectbox(key="to").set_value("estuary").run()
    assert not app.exception
    words = said(app)
    assert "1 hull at estuary:" in words
    assert "anodes a year" in words
    assert "measure every anode before it goes" in words


def test_a_whole_layout_can_be_moved(run: Run, standing: Standing, mixed: FleetLogs) -> None:
    app = opened(run, standing, mixed)
    app.multiselect(key="movers").set_value(["all of layout twin"])
    app.selectbox(key="to").set_value("lake").run()
    assert "11 hulls at lake:" in said(app)
    assert "Zinc at lake" in said(app)
    assert "Crusts over and stops protecting while it looks new" in said(app)


def test_magnesium_into_salt_water_is_a_hard_stop_without_numbers(
    run: Run, standing: Standing
) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    for row in fleet.rows["anode_positions"]:
        row["alloy"] = "magnesium"
    app = opened(run, standing, fleet)
    app.multiselect(key="movers").set_value(["H07"])
    app.selectbox(key="to").set_value("estuary").run()
    assert any("Stop: these anodes must not go to estuary." in box.value for box in app.error)
    assert "anodes a year" not in said(app)
    assert "moves" not in {each.key for each in app.get("bidi_component")}


def test_costs_are_said_a_hull_season_and_a_hire_hour_with_what_is_not_known(run: Run) -> None:
    shown = lists(run("moorings", DEMO))
    costs = next(html for html in shown.values() if "A hull-season" in html)
    assert "Brennick Mouth" in costs
    assert "All moorings" in costs
    assert "A hire hour" in costs


def test_costs_of_a_fleet_without_prices_are_not_known_rather_than_nothing(
    run: Run, standing: Standing, mixed: FleetLogs
) -> None:
    app = opened(run, standing, mixed)
    costs = next(html for html in lists(app).values() if "A hull-season" in html)
    assert "not known" in costs


def test_a_move_can_be_sent_as_a_link(run: Run, standing: Standing, mixed: FleetLogs) -> None:
    app = opened(run, standing, mixed, movers="H07", to="estuary")
    assert app.multiselect(key="movers").value == ["H07"]
    assert "1 hull at estuary:" in said(app)


def test_hulls_that_never_ran_are_not_compared_and_the_page_says_why(
    run: Run, standing: Standing
) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    for log in ("outings", "flushes", "readings"):
        fleet.rows[log].clear()
    words = said(opened(run, standing, fleet))
    assert "No mooring can be compared yet." in words
    assert "No outing is on record" in words
