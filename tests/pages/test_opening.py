"""Which fleet is looked at: the demo, or one's own, never both."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from pages._shared import cached_answers, session
from tests.fleets import FleetLogs
from tests.pages.conftest import PAGES
from tests.pages.reading import HOUSE, Run, said

pytestmark = pytest.mark.slow


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> AppTest:
    monkeypatch.setenv("FLEET_ROOT", str(tmp_path))
    app = AppTest.from_file(str(HOUSE / "app.py"), default_timeout=60)
    return app.switch_page("pages/open_fleet.py").run()


def typed(screen: AppTest, path: object) -> AppTest:
    screen.text_input[0].set_value(str(path))
    next(button for button in screen.button if button.label == "Open this folder").click()
    return screen.run()


def test_a_folder_typed_in_is_opened_and_the_demo_leaves(
    screen: AppTest, live_fleet: FleetLogs, tmp_path: Path
) -> None:
    app = typed(screen, live_fleet.write(tmp_path))
    assert not app.exception
    assert app.title[0].value == "This week"
    assert "imulated fleet" not in said(app)
    assert "Ferry" in app.caption[0].value


def test_a_refused_folder_stays_shut_and_says_why(screen: AppTest, tmp_path: Path) -> None:
    app = typed(screen, tmp_path / "not there")
    assert app.error[0].value.startswith("Not opened.")
    assert session.is_demo()


def test_an_empty_path_is_asked_for(screen: AppTest) -> None:
    assert "Type the path" in typed(screen, " ").error[0].value


@pytest.mark.parametrize("path", ["a\x00b", "~nobody-here/fleet", "../", "/etc", "/etc/nothing"])
def test_what_is_no_path_below_the_root_is_refused_and_nothing_told_of_it(
    screen: AppTest, path: str
) -> None:
    app = typed(screen, path)
    assert not app.exception
    (box,) = app.error
    assert box.value.startswith("Not opened.")
    assert "no path" in box.value or "FLEET" in box.value
    next(button for button in app.button if button.label == "Start a fleet here").click()
    app.run()
    assert not app.exception
    assert app.error[0].value.startswith("Not started.")


def test_a_link_out_of_the_root_is_refused(screen: AppTest, tmp_path: Path) -> None:
    (tmp_path / "way").symlink_to("/usr")
    assert "FLEET" in typed(screen, "way").error[0].value


@pytest.mark.parametrize("page", PAGES)
def test_a_folder_without_logs_begins_with_the_start_form_on_every_page(
    run: Run, tmp_path: Path, page: str
) -> None:
    for place in (tmp_path, tmp_path / "not there yet"):
        app = run(page, place)
        assert not app.exception
        assert app.title[0].value == "Start a fleet"


def test_a_fleet_that_is_begun_or_knows_little_is_opened_again(
    screen: AppTest, tmp_path: Path
) -> None:
    begun = tmp_path / "begun"
    begun.mkdir()
    (begun / "fleet.toml").write_text('name = "Ferry"')
    app = typed(screen, begun)
    assert not app.error
    assert app.title[0].value == "Start a fleet"


def test_a_fleet_without_readings_is_opened(
    screen: AppTest, live_fleet: FleetLogs, tmp_path: Path
) -> None:
    live_fleet.rows["readings"], live_fleet.rows["fittings"] = [], []
    app = typed(screen, live_fleet.write(tmp_path / "fleet"))
    assert "Not opened" not in said(app)
    assert "imulated" not in said(app)


def visit(browser: str) -> AppTest:
    visitor = AppTest.from_file(str(HOUSE / "app.py"), default_timeout=60)
    visitor.session_state["browser"] = browser
    return visitor.run()


def test_an_opened_fleet_is_opened_for_its_own_visitor_alone_also_when_loaded_again(
    screen: AppTest, live_fleet: FleetLogs, tmp_path: Path
) -> None:
    typed(screen, live_fleet.write(tmp_path))
    assert "Ferry" in visit(screen.session_state["browser"]).caption[0].value
    assert "Simulated" in said(visit("another browser"))


def test_a_visitor_can_go_back_to_the_demo(
    screen: AppTest, live_fleet: FleetLogs, tmp_path: Path
) -> None:
    app = typed(screen, live_fleet.write(tmp_path))
    next(button for button in app.button if "demo" in button.label).click()
    app.run()
    assert "Simulated" in said(app)
    assert "Simulated" in said(visit(app.session_state["browser"]))


def test_a_fleet_fixed_by_the_server_offers_no_other(
    run: Run, worn_fleet: FleetLogs, tmp_path: Path
) -> None:
    app = run("week", worn_fleet.write(tmp_path), on="2031-06-01")
    assert not app.button
    assert "open_fleet" not in said(app)


def test_without_demo_and_without_a_fleet_the_first_screen_asks(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(session, "DEMO", tmp_path / "never written")
    app = AppTest.from_file(str(HOUSE / "app.py"), default_timeout=60).run()
    assert not app.exception
    assert app.title[0].value == "Which fleet?"
    assert "python -m corrosion demo" in said(app)


def test_one_appraisal_serves_every_rerun_of_the_same_logs(run: Run) -> None:
    app = run("week", None)
    seen = session.View(session.DEMO, None, 7)
    first = cached_answers.appraisal(seen)
    app.run()
    assert cached_answers.appraisal(seen) is first


def test_a_new_row_in_a_log_is_seen_at_the_next_rerun(
    run: Run, worn_fleet: FleetLogs, tmp_path: Path
) -> None:
    folder = worn_fleet.write(tmp_path)
    app = run("hull", folder, hull="H1", on="2031-06-01")
    assert "6.61 mm" not in said(app)
    later = FleetLogs().reading("H1", "pencil", "2031-05-31 07:00", 6.61)
    later.write(tmp_path / "later")
    (tmp_path / "later/readings/part-0.parquet").rename(folder / "readings/more.parquet")
    assert "6.61 mm" in said(app.run())
