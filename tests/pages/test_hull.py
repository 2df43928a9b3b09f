"""How is this hull, and why, as the manager and the mechanic read it."""

import json

import pytest

from tests.demo import appraised_demo
from tests.fleets import FleetLogs
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("alone", [True, False])
def test_the_hull_in_the_address_is_shown(run: Run, alone: bool) -> None:
    app = run("hull", None, alone, hull="H07")
    assert not app.exception
    assert app.selectbox(key="hull").value == "H07"
    assert "H07" in app.markdown[0].value


def test_a_hull_that_does_not_exist_is_said_and_none_is_shown_instead(run: Run) -> None:
    app = run("hull", None, hull="H99")
    assert "There is no hull H99" in app.warning[0].value
    assert app.selectbox(key="hull").value is None
    assert list(lists(app)) == ["Press a row for the hull."]


def test_without_a_hull_in_the_address_the_riskiest_are_offered(run: Run) -> None:
    offered = lists(run("hull", None))["Press a row for the hull."]
    riskiest = appraised_demo().forecast.hulls["hull_id"].tolist()[:5]
    assert [part.split('"')[0] for part in offered.split('<tr data-open="')[1:]] == riskiest


def test_every_anode_of_the_hull_has_a_row_and_can_be_drawn(run: Run) -> None:
    app = run("hull", None, hull="H07")
    anodes = appraised_demo().forecast.anodes
    positions = anodes.loc[anodes["hull_id"] == "H07", "position"].tolist()
    assert len(app.get("plotly_chart")) == 2  # one course, and the hours
    assert all(position in said(app) for position in positions)


def test_the_course_runs_through_the_looks_and_names_what_was_not_looked_at(run: Run) -> None:
    drawn = json.loads(run("hull", None, hull="H29").get("plotly_chart")[0].proto.spec)
    names = [trace["name"] for trace in drawn["data"]]
    assert {"fitted", "fitted, 80 %", "not looked at", "forecast, 80 %"} <= set(names)
    notes = [note["text"] for note in drawn["layout"]["annotations"]]
    assert any(note.startswith("not looked at for ") for note in notes)
    assert "today" in notes


def test_days_left_are_a_range_in_words(run: Run) -> None:
    assert "most likely" in said(run("hull", None, hull="H07"))


def test_the_limit_is_drawn_in_the_picture_of_an_anode(run: Run) -> None:
    picture = run("hull", None, hull="H07").get("plotly_chart")[0]
    drawn = json.loads(picture.proto.spec)
    notes = [note["text"] for note in drawn["layout"]["annotations"]]
    assert any(note.startswith("limit ") and note.endswith(" mm") for note in notes)


def test_a_fleet_with_inch_calipers_reads_inches(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    folder = standing(worn_fleet.setting(length_unit="in"))
    text = said(run("hull", folder, hull="H1", on="2031-06-01"))
    # 6.4 mm: 1 inch is 25.4 mm exactly, NIST SP 811 (2008), Appendix B.8
    assert "limit 0.252 in" in text
    assert " mm" not in text


def test_a_corrected_entry_stays_in_the_history_beside_its_correction(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    worn_fleet.reading("H1", "pencil", "2031-05-30 07:00", 6.6, entry_id="a")
    worn_fleet.reading("H1", "pencil", "2031-05-30 07:00", 6.9, entry_id="b", corrects="a")
    app = run("hull", standing(worn_fleet), hull="H1", on="2031-06-01")
    text = said(app)
    assert "pencil: 6.6 mm" in text
    assert "✎ corrected later" in text
    assert "pencil: 6.9 mm" in text


def test_times_are_in_the_time_zone_of_the_fleet(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    app = run("hull", standing(worn_fleet), hull="H1", on="2031-06-01")
    # Lisbon is at UTC+1 in summer (IANA time zone database): 09:00 UTC is 10:00 there
    assert "Mon 2 Jun 2031, 10:00" in said(app)


def test_the_cautions_stand_where_the_work_begins(run: Run) -> None:
    text = said(run("hull", None, hull="H07"))
    assert "Before you open anything" in text
    assert "licensed trades" in text


def test_outings_and_flushes_join_the_history_on_request(run: Run) -> None:
    app = run("hull", None, hull="H07")
    assert "back from an outing" not in said(app)
    app.toggle(key="daily").set_value(True).run()
    assert "back from an outing" in said(app)


def test_a_hull_without_a_layout_is_shown_with_the_reason(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    folder = standing(worn_fleet.hull("H9", layout="unheard-of", in_service="2031-04-01"))
    app = run("hull", folder, hull="H9", on="2031-06-01")
    assert not app.exception
    assert "H9 cannot be judged" in app.markdown[0].value


def test_every_hull_of_the_demo_opens_without_an_error(run: Run) -> None:
    app = run("hull", None)
    for hull_id in app.selectbox(key="hull").options:
        app.selectbox(key="hull").set_value(hull_id).run()
        assert not app.exception, hull_id


def test_a_hull_past_its_pull_by_that_comes_out_later_says_why_not_sooner(run: Run) -> None:
    """As the week's list says of it: what is in the way, and the cheapest release."""
    week = lists(run("week", None))[
        "Every hull that must not sail, comes out, or ought to. Press a hull."
    ]
    waits = next(row for row in week.split("<tr data-open=")[1:] if "not this week: " in row)
    hull_id = waits.split('"')[1]
    in_the_way = waits.split("not this week: ")[1].split("</b>")[0]
    facts = next(
        html for html in lists(run("hull", None, hull=hull_id)).values() if "<dt>Out" in html
    )
    assert f"<dt>Why not sooner</dt><dd>{in_the_way}." in facts
