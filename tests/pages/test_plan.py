"""The week's pull-outs on the page: decided, issued, taken along."""

import re
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from corrosion.records import append, operator
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs, write_log
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow

ON = "2031-06-01"
PULLS, LEFT = (
    "Every hull that must not sail, comes out, or ought to. Press a hull.",
    "Riskiest first. Press a row for the hull.",
)


@pytest.fixture
def simulated(worn_fleet: FleetLogs, standing: Standing) -> Path:
    """Worn enough that a hull comes out, at the last moment of its logs, which can be written."""
    worn_fleet.setting(simulated=True)
    worn_fleet.reading("H1", "pencil", "2031-05-31 07:00", 6.5)
    return standing(worn_fleet)


def hulls_in(html: str) -> list[str]:
    return re.findall(r'<tr data-open="([^"]+)"', html)


def decide(app: AppTest, hull_id: str, change: str, reason: str = "") -> AppTest:
    app.selectbox(key="decide_hull").set_value(hull_id)
    app.segmented_control(key="decide_what").set_value(change)
    app.text_input(key="decide_why").set_value(reason)
    app = pressed(app, "Show what would follow")
    labels = [each.label for each in app.button]
    return pressed(app, "Write it down") if "Write it down" in labels else app


def pressed(app: AppTest, label: str) -> AppTest:
    return next(each for each in app.button if each.label == label).click().run()


def decisions(folder: Path) -> pd.DataFrame:
    return read_fleet(folder).plan_changes


def test_the_week_says_what_comes_out_where_and_why(run: Run, simulated: Path) -> None:
    app = run("week", simulated)
    assert not app.exception
    text = said(app)
    assert re.search(r"\d hulls? comes? out, ", text)
    assert "Proven cheapest" in text
    shown = lists(app)
    assert "H1" in hulls_in(shown[PULLS])
    assert "Replace" in shown[PULLS]
    assert "A week later" in shown[PULLS]
    assert "No plan is issued for this week yet" in text


def test_every_hull_is_either_out_or_left_out_with_a_reason(run: Run, simulated: Path) -> None:
    shown = lists(run("week", simulated))
    assert sorted(hulls_in(shown[PULLS]) + hulls_in(shown[LEFT])) == ["H1", "H2", "H3"]


def test_a_fleet_without_bays_is_told_what_was_taken_for_granted(run: Run, simulated: Path) -> None:
    assert "Taken for granted: No bays in fleet" in said(run("week", simulated)).replace("\\", "")


def test_the_week_in_the_address_is_the_week_that_is_planned(run: Run, simulated: Path) -> None:
    assert "Mon 9 Jun to Sun 15 Jun 2031" in said(run("week", simulated, week="2031-06-11"))


@pytest.mark.parametrize("week", ["2031-13-45", "2020-01-01"])
def test_a_week_that_cannot_be_planned_is_said_and_the_rest_stands(
    run: Run, simulated: Path, week: str
) -> None:
    app = run("week", simulated, week=week)
    assert not app.exception
    assert app.warning
    assert "If nobody acts" in said(app)


def test_a_skip_without_a_reason_is_refused_and_one_with_a_reason_holds_until_undone(
    run: Run, simulated: Path
) -> None:
    app = decide(run("week", simulated), "H1", "skip")
    assert "has no reason" in app.error[0].value.replace("\\", "")
    assert decisions(simulated).empty
    app = decide(app, "H1", "skip", "wedding party")
    assert not app.exception
    assert "H1 left out in the week of" in said(app).replace("*", "")
    assert "held back by decision: wedding party" in lists(app)[PULLS]
    app = next(each for each in app.button if each.label == "Undo").click().run()
    assert "held back" not in lists(app)[PULLS]
    assert sorted(decisions(simulated)["change"]) == ["release", "skip"]


def test_a_pin_survives_a_later_run(run: Run, simulated: Path) -> None:
    app = run("week", simulated)
    app.date_input(key="decide_day").set_value(date(2031, 6, 3))
    decide(app, "H3", "pin")
    shown = lists(run("week", simulated))
    assert "H3" in hulls_in(shown[PULLS])
    assert "pinned" in shown[PULLS]


def test_a_pin_that_does_not_fit_is_said_with_the_nearest_plan(run: Run, simulated: Path) -> None:
    app = run("week", simulated)
    app.date_input(key="decide_day").set_value(date(2031, 6, 8))  # no bay works on a Sunday
    app = decide(app, "H1", "pin")
    assert not app.exception
    assert any("does not fit" in warning.value for warning in app.warning)
    assert "H1" in hulls_in(lists(app)[PULLS])
    assert decisions(simulated).empty


def test_a_decision_shows_what_follows_before_it_is_written_and_keeps_its_own_reason(
    run: Run, simulated: Path
) -> None:
    app = run("week", simulated)
    app.selectbox(key="decide_hull").set_value("H1")
    app.segmented_control(key="decide_what").set_value("skip")
    app.text_input(key="decide_why").set_value("wedding party")
    app = pressed(app, "Show what would follow")
    assert not app.exception
    assert "The plan would be expected to cost" in said(app)
    assert decisions(simulated).empty
    app = pressed(app, "Write it down")
    assert not app.exception
    assert app.text_input(key="decide_why").value == ""
    app.date_input(key="decide_day").set_value(date(2031, 6, 3))
    decide(app, "H3", "pin")
    table = decisions(simulated).set_index("hull_id")["reason"]
    assert table["H1"] == "wedding party"
    assert pd.isna(table["H3"])


def test_a_plan_issued_twice_is_in_the_log_once(run: Run, simulated: Path) -> None:
    app = pressed(run("week", simulated), "Issue this plan")
    app = pressed(app, "Issue this plan")
    assert not app.exception
    assert read_fleet(simulated).plans["plan_id"].nunique() == 1
    assert "The plan is issued already" in " ".join(each.value for each in app.success)


def test_a_hull_that_is_hired_out_anyway_shows_with_the_reason_among_those_past_their_limit(
    run: Run, simulated: Path
) -> None:
    app = decide(run("week", simulated), "H1", "hire-out", "nobody else has a tow bar")
    text = said(app)
    assert "is hired out past its pull-by" in text
    assert "nobody else has a tow bar" in text
    hull = said(run("hull", simulated, hull="H1"))
    assert "**Decided otherwise:** hired out in the week of" in hull


def test_an_issued_plan_is_kept_and_said_and_a_reading_shows_as_a_change(
    run: Run, simulated: Path, worn_fleet: FleetLogs
) -> None:
    app = run("week", simulated)
    app = next(each for each in app.button if each.label == "Issue this plan").click().run()
    assert not app.exception
    assert "Nothing has changed since" in said(app)
    assert len(read_fleet(simulated).plans) == 3
    app = decide(app, "H1", "skip", "wedding party")
    assert "H1 was planned for" in said(app)
    assert re.search("→ moved|✕ left out", said(app))


def test_the_demo_that_comes_with_the_program_is_never_written_to(run: Run) -> None:
    app = run("week", None)
    labels = [button.label for button in app.button]
    assert "Practise on a copy" in labels
    assert "Write it down" not in labels
    assert "Issue this plan" not in labels


def test_nothing_can_be_decided_while_looking_back(run: Run, simulated: Path) -> None:
    app = run("week", simulated, on=ON)
    assert "Write it down" not in [button.label for button in app.button]
    assert "Looking back" in said(app)


def test_decisions_that_cannot_be_read_leave_the_page_standing(run: Run, simulated: Path) -> None:
    rows = [
        {"hull_id": "H1", "decided_at": "2031-05-30 09:00", "change": "dance", "day": "2031-06-03"},
        {"hull_id": None, "decided_at": "2031-05-30 09:00", "change": "pin", "day": None},
        {"hull_id": "H8", "decided_at": "2031-05-30 09:00", "change": "pin", "day": "2031-06-03"},
    ]
    write_log(simulated, "plan_changes", rows)
    app = run("week", simulated)
    assert not app.exception
    assert "H1" in hulls_in(lists(app)[PULLS])


def test_papers_are_offered(run: Run, simulated: Path) -> None:
    app = run("week", simulated)
    labels = [element.proto.label for element in app.get("download_button")]
    assert {"Work sheets", "Pick list", "Calendar (draft)", "Plan as CSV"} <= set(labels)


def test_a_hulls_page_has_its_line_and_its_sheet(run: Run, simulated: Path) -> None:
    app = run("hull", simulated, hull="H1")
    assert not app.exception
    assert "What to do" in said(app)
    assert "If it slips" in said(app)
    assert "Work sheet" in [element.proto.label for element in app.get("download_button")]


def test_a_hull_that_stays_says_why(run: Run, simulated: Path) -> None:
    assert "It stays in the 6 weeks ahead:" in said(run("hull", simulated, hull="H3"))


def test_what_the_desk_was_told_of_hires_stands_beside_the_issued_plan_and_what_became_of_it(
    run: Run, worn_fleet: FleetLogs, tmp_path: Path
) -> None:
    worn_fleet.setting(simulated=True).reading("H1", "pencil", "2031-05-31 07:00", 6.2)
    worn_fleet.booking("H1", "2031-06-01 09:00", "2031-06-01 11:00", entry_id="hire-1")
    folder = worn_fleet.write(tmp_path)
    app = run("week", folder)
    assert "told" not in lists(app)["Every other hire stays where it is booked."]
    app = pressed(app, "Issue this plan")
    assert not app.exception
    folds = [fold.label for fold in app.expander]
    assert "Told to the desk: 1 not done yet" in folds
    told = "Hires of which the desk was told, or has to be. What is to be done stands first."
    assert "was to be called off; the book still has it on H1." in lists(app)[told]
    assert "as told on" in lists(app)["Every other hire stays where it is booked."]
    row = {"hull_id": "H1", "starts": pd.Timestamp("2031-06-01T09:00Z"), "void": True}
    row |= {"ends": pd.Timestamp("2031-06-01T11:00Z"), "corrects": "hire-1"}
    new = {"hull_id": "H1", "starts": pd.Timestamp("2031-06-01T13:00Z")}
    new |= {"ends": pd.Timestamp("2031-06-01T15:00Z")}
    append(folder, "bookings", pd.DataFrame([row, new]), operator("desk"), read_fleet(folder).on)
    app = run("week", folder)
    counted = "Told to the desk: 1 not told yet, 1 done as told"
    assert counted in [fold.label for fold in app.expander]
    assert "Nothing has changed since." not in said(app)


def test_a_plan_of_before_hires_were_kept_says_so_on_the_page(
    run: Run, worn_fleet: FleetLogs, tmp_path: Path
) -> None:
    worn_fleet.setting(simulated=True).add(
        "plans", plan_id="old", hull_id="H1", issued_at="2031-05-31 07:00", week="2031-06-02",
        entered_by="office",
    )  # fmt: skip
    text = said(run("week", worn_fleet.write(tmp_path)))
    assert "What the desk was told of hires is not kept by that plan." in text
