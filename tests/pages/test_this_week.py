"""What comes out, when, and what if nobody acts, as the manager reads it."""

import gc
import re
from dataclasses import dataclass
from pathlib import Path
from weakref import ref

import pytest

from corrosion import CAUTION
from corrosion.workshop import make_plan, pulls_of_week
from pages._shared import plan_week
from pages._shared.caching import written_once
from tests.demo import appraised_demo
from tests.fleets import FleetLogs, usual_fleet
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow

WEEK = "Every hull that must not sail, comes out, or ought to. Press a hull."


@pytest.mark.parametrize("alone", [True, False])
def test_the_demo_opens_with_an_answer_and_without_an_error(run: Run, alone: bool) -> None:
    app = run("week", None, alone)
    assert not app.exception
    assert app.title[0].value == "This week"
    assert "hulls" in app.markdown[0].value
    assert "if nobody acts" in app.markdown[0].value.lower()


def test_every_demo_screen_says_that_it_is_simulated(run: Run) -> None:
    assert "Simulated" in said(run("week", None))
    assert "Simulated" in said(run("hull", None))


def test_a_fleet_of_ones_own_is_never_called_simulated(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    text = said(run("week", standing(worn_fleet), on="2031-06-01"))
    assert "imulated" not in text
    assert "demo" not in text


def test_the_list_holds_every_hull_that_is_stopped_comes_out_or_ought_to(run: Run) -> None:
    app = run("week", None)
    html = lists(app)[WEEK]
    named = [part.split('"')[0] for part in html.split('<tr data-open="')[1:]]
    appraisal = appraised_demo()
    plan = make_plan(appraisal)
    hulls = appraisal.forecast.hulls
    assert set(named) == {
        *pulls_of_week(plan)["hull_id"], *plan.obstacles["hull_id"],
        *hulls.loc[hulls["stop"] != "", "hull_id"],
    }  # fmt: skip
    assert (
        f"**{len(hulls[hulls['stop'] != ''])} hulls must not be hired out" in app.markdown[0].value
    )


def test_stops_stand_before_the_answer_on_every_page(run: Run) -> None:
    hulls = appraised_demo().forecast.hulls
    stopped = hulls.loc[hulls["stop"] != "", "hull_id"]
    assert len(stopped) > 0
    for page in ("week", "hull"):
        first = run(page, None).error[0].value
        assert all(f"STOP {name}" in first.replace("\\", "") for name in stopped)


def test_every_listed_hull_says_its_chance_as_odds_with_a_level_and_a_bar(run: Run) -> None:
    html = lists(run("week", None))[WEEK]
    rows = html.count("<tr data-open")
    assert html.count('class="odds"') == html.count('class="bar"') == rows
    assert "▲ High" in html


def test_no_chance_is_printed_as_nothing_or_as_certain(run: Run) -> None:
    text = said(run("week", None))
    assert " 0 %" not in text
    assert "100 %" not in text


def test_a_date_in_the_address_takes_the_page_back_to_that_moment(run: Run) -> None:
    app = run("week", None, on="2031-05-01", days="28")
    assert not app.exception
    assert "as of Thu 1 May 2031, 00:00" in app.caption[0].value
    assert "Wed 28 May 2031" in app.markdown[0].value  # 28 days end as Thursday begins


def test_a_date_that_cannot_be_read_is_said_and_the_newest_shown(run: Run) -> None:
    app = run("week", None, on="last-tuesday")
    assert "cannot be read" in app.warning[0].value
    assert app.title[0].value == "This week"


def test_a_longer_horizon_names_a_later_day(run: Run) -> None:
    app = run("week", None)
    by_7 = app.markdown[0].value
    app.segmented_control(key="days").set_value(28).run()
    assert app.markdown[0].value != by_7


def test_a_plan_is_one_plan_however_far_somebody_looks_ahead(run: Run) -> None:
    app = run("week", None)
    hires, lines = "Every other hire stays where it is booked.", lists(app)
    app.segmented_control(key="days").set_value(28).run()
    assert lists(app)[WEEK] != lines[WEEK], "chances are by the horizon"
    assert _without_addresses(lists(app)[hires]) == _without_addresses(lines[hires])


def _without_addresses(html: str) -> str:
    return re.sub(r'href="[^"]*"', "", html)


def test_one_hull_is_a_fleet(run: Run, standing: Standing) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 40)
    fleet.reading("H1", "pencil", "2031-05-01 07:00", 7.4)
    app = run("week", standing(fleet), on="2031-05-12")
    assert not app.exception
    assert "1 hull" in said(app)
    assert 'data-open="H1"' in "".join(lists(app).values())


def test_a_fleet_without_readings_still_gets_an_answer_or_is_told_why(
    run: Run, standing: Standing
) -> None:
    fleet = usual_fleet(3)
    for hull_id in ("H1", "H2", "H3"):
        fleet.season(hull_id, "2031-04-02", 20)
    app = run("week", standing(fleet), on="2031-05-12")
    assert not app.exception
    assert "H1" in said(app)


def test_a_hull_that_cannot_be_judged_is_named_with_its_reason(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    folder = standing(worn_fleet.hull("H9", layout="unheard-of", in_service="2031-04-01"))
    app = run("week", folder, on="2031-06-01")
    html = lists(app)["Not known is not safe: look at these."]
    assert 'data-open="H9"' in html


def test_an_empty_folder_opens_on_the_start_form(run: Run, tmp_path: Path) -> None:
    app = run("week", tmp_path)
    assert not app.exception
    assert "Start a fleet" in said(app)
    assert CAUTION in said(app)


def test_a_folder_that_is_not_there_is_refused_by_its_name(run: Run, tmp_path: Path) -> None:
    app = run("week", tmp_path / "gone")
    assert not app.exception
    assert "gone" in said(app)


def test_a_damaged_log_is_refused_or_set_aside_by_name_and_never_breaks_the_page(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    folder = standing(worn_fleet)
    (folder / "readings" / "torn.parquet").write_bytes(b"PAR1 and then nothing")
    app = run("week", folder, on="2031-06-01")
    assert not app.exception
    assert "readings" in said(app)


def test_rows_set_aside_are_counted_on_the_page(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    worn_fleet.reading("H1", "pencil", "2031-05-29 07:00", 700.0)
    app = run("week", standing(worn_fleet), on="2031-06-01")
    assert any("1 row set aside" in link.proto.label for link in app.get("page_link"))


def test_a_name_with_markdown_or_html_in_it_stays_text(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    worn_fleet.setting(name="![x](http://127.0.0.1/x.png)")
    worn_fleet.hull("<img src=x>", layout="unheard-of", in_service="2031-04-01")
    app = run("week", standing(worn_fleet), on="2031-06-01")
    assert r"\!\[x\]" in app.caption[0].value
    assert "<img" not in "".join(lists(app).values())


def test_the_disclaimer_stands_under_every_page(run: Run) -> None:
    for page in ("week", "hull"):
        assert run(page, None).caption[-1].value.startswith(CAUTION)


@dataclass(frozen=True)
class _Answer:
    says: str


def test_what_a_page_shows_is_written_once_for_an_answer_and_anew_for_another_one() -> None:
    first, same_words = _Answer("plan"), _Answer("plan")
    written: list[_Answer] = []

    def show(answer: _Answer, *about: object) -> str:
        return written_once(
            (answer,), "a test", *about, write=lambda: written.append(answer) or answer.says
        )

    assert [show(first), show(first), show(same_words)] == ["plan"] * 3
    assert [each is first for each in written] == [True, False]
    show(first, "on=2031-05-01")
    assert len(written) == 3
    kept = ref(same_words)
    written.clear()
    del same_words
    gc.collect()
    assert kept() is None, "what is written keeps no answer alive"


def test_coming_back_to_the_week_draws_nothing_anew_and_shows_the_same(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = run("week", None)
    before, drawn = lists(app), []
    monkeypatch.setattr(plan_week, "draw_week", lambda *_: drawn.append(1) or "drawn anew")
    assert lists(app.run()) == before
    assert not drawn
    other = lists(run("week", None, days="14"))
    assert drawn, "another horizon stands in the addresses of its hulls"
    assert other != before
