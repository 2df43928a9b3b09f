"""The pages Flushing and Habits: a full fleet, a thin one, one in fresh water, a damaged one."""

import re

import pytest

from corrosion import CAUTION
from tests.fleets import FleetLogs, usual_fleet
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow


def test_the_answer_comes_first_with_its_range_its_date_and_its_hulls(run: Run) -> None:
    app = run("flushing", None)
    assert not app.exception
    answer = app.markdown[0].value
    assert answer.startswith("**Flushing saves wear")
    for part in ("%", " to ", "16 Jun 2031", "32 hulls"):
        assert part in answer


def test_raw_stands_beside_adjusted_and_the_same_hulls_weeks_beside_both(run: Run) -> None:
    rows = lists(run("flushing", None))["Groups of fewer than 5 hulls are not shown."]
    for part in ("All hulls", "own weeks", "At estuary (salt)", "not compared", "18 hulls"):
        assert part in rows


def test_the_headline_says_shares_hulls_and_money_as_the_lists_under_it_have_them(run: Run) -> None:
    app = run("flushing", None)
    headline, listed = app.markdown[0].value, lists(app)
    ways = listed["Groups of fewer than 5 hulls are not shown."]
    policies = next(html for html in listed.values() if "Flushes added" in html)
    for who, pattern in (
        ("All hulls", r"spared (\d+ %) \(([^)]+)\).*? seen on (\d+ hulls)\."),
        ("Hulls that a hose reaches", r"been (\d+ %) \(([^)]+)\) of theirs"),
    ):
        row = next(row for row in ways.split("<tr>") if who in row)
        parts = re.search(pattern, headline, flags=re.DOTALL)
        assert parts, headline
        assert all(f">{part}<" in row for part in parts.groups()), (who, parts.groups())
    reached = next(row for row in ways.split("<tr>") if "Hulls that a hose reaches" in row)
    hulls = re.search(r"On the (\d+ hulls) that a hose reaches", headline)
    assert hulls
    assert f">{hulls[1]}<" in reached
    assert f"A year, {hulls[1]} that a hose reaches" in policies
    money = re.search(r"minutes: (EUR .+?) of work against (EUR .+?) of anodes", headline)
    assert money
    assert all(f">{amount}<" in policies for amount in money.groups())


def test_the_page_says_what_anodes_alone_pay_and_that_castings_are_not_known(run: Run) -> None:
    text = said(run("flushing", None))
    for part in ("on anodes alone", "Break-even", "rests on castings", "is not known"):
        assert part in text


def test_another_policy_changes_its_bill(run: Run) -> None:
    app = run("flushing", None)
    before = next(m.value for m in app.markdown if "**Work:**" in m.value)
    app.selectbox(key="who").set_value("lagoon only").run()
    after = next(m.value for m in app.markdown if "**Work:**" in m.value)
    assert before != after


def test_a_policy_can_be_sent_as_an_address(run: Run) -> None:
    app = run("flushing", None, who="salt only", after="every return")
    assert app.selectbox(key="who").value == "salt only"
    assert app.selectbox(key="after").value == "every return"


def test_a_thin_fleet_is_told_that_the_logs_cannot_tell_and_what_to_log(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    app = run("flushing", standing(worn_fleet), on="2031-06-01")
    assert not app.exception
    assert "cannot tell" in app.markdown[0].value
    text = said(app)
    assert "every last return of a day" in text
    assert "saves wear" not in text


def test_a_fleet_in_fresh_water_has_nothing_to_flush_away(run: Run, standing: Standing) -> None:
    fleet = usual_fleet(3)
    for row in fleet.rows["moorings"]:
        row["water"] = "fresh"
    for hull_id in ("H1", "H2", "H3"):
        fleet.season(hull_id, "2031-04-02", 40)
    app = run("flushing", standing(fleet), on="2031-06-01")
    assert not app.exception
    assert "No hull came back from salt or brackish water" in said(app)


def test_a_damaged_flush_log_breaks_no_page(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    worn_fleet.flush("H1", "2031-05-01 12:00")
    folder = standing(worn_fleet)
    (folder / "flushes" / "torn.parquet").write_bytes(b"PAR1 and then nothing")
    app = run("flushing", folder, on="2031-06-01")
    assert not app.exception
    assert CAUTION in said(app)


def test_both_papers_can_be_taken_to_the_printer(run: Run) -> None:
    labels = [button.label for button in run("flushing", None).get("download_button")]
    assert "Notice for the dock, one page" in labels
    assert "Page for the owner" in labels


def test_habits_say_what_wears_most_in_anodes_a_season(run: Run) -> None:
    app = run("habits", None)
    assert not app.exception
    assert app.markdown[0].value.startswith("**Most wear over the year to Mon 16 Jun 2031")
    rows = next(html for html in lists(app).values() if "Running, salt" in html)
    assert "inside the engine" in rows
    assert "A degree warmer wears" in said(app)


def test_habits_of_a_handful_of_hulls_are_not_shown(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    app = run("habits", standing(worn_fleet), on="2031-06-01")
    assert not app.exception
    assert "fewer than 5 hulls" in said(app)
    assert not [html for html in lists(app).values() if "Anodes a season" in html]
