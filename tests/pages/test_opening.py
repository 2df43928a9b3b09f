"""Which fleet is looked at: the demo, or one's own, never both."""

from itertools import chain, cycle
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from corrosion.data_entry import REGISTERS
from corrosion.records import read_fleet
from pages._shared import cached_answers, session
from tests.fleets import FleetLogs
from tests.pages.conftest import PAGES
from tests.pages.reading import HOUSE, Run, Standing, said

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
    app = typed(screen, live_fleet.write(tmp_path / "fleet"))
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
    for empty in (tmp_path, tmp_path / "not there yet"):
        app = run(page, empty)
        assert not app.exception
        assert app.title[0].value == "Start a fleet"


def lacking(fleet: FleetLogs, *registers: str) -> FleetLogs:
    """The same fleet before somebody wrote those registers; its clock is that of its logs."""
    fleet.setting(simulated=True)
    for register in registers:
        del fleet.rows[register]
    return fleet


@pytest.mark.parametrize(("page", "register"), [*zip(PAGES, cycle(REGISTERS), strict=False)])
def test_a_folder_that_lacks_a_register_begins_with_the_start_form_on_every_page(
    run: Run, worn_fleet: FleetLogs, standing: Standing, page: str, register: str
) -> None:
    app = run(page, standing(lacking(worn_fleet, register)), on="2031-06-01")
    assert not app.exception
    assert app.title[0].value == "Start a fleet"
    assert f"nothing of **{register}**" in app.markdown[0].value


@pytest.mark.parametrize(
    ("registers", "asks", "typed"),
    [
        (("hulls",), {"start_hull", "start_since"}, {"start_hull": "H1, H2, H3"}),
        (("berths",), {"start_mooring", "start_stays", "start_since"}, {}),
        (
            ("moorings",),
            {"start_water", "start_water1", "start_water2"},
            {"start_water": "brackish", "start_water1": "salt", "start_water2": "fresh"},
        ),
        (("moorings", "berths"), {"start_mooring", "start_stays"}, {"start_mooring": "Quay"}),
        (
            ("anode_positions",),
            {"start_layout"},
            {
                "start_jet boat_source": "manual, p. 4",
                "start_jet boat_alloy": "zinc",
                "start_jet boat_cooler-pencil_new_size_mm": "9.0",
                "start_jet boat_cooler-pencil_limit_size_mm": "6.4",
            },
        ),
    ],
)
def test_only_what_is_missing_is_asked_and_written_and_then_the_page_answers(
    run: Run,
    worn_fleet: FleetLogs,
    standing: Standing,
    registers: tuple[str, ...],
    asks: set[str],
    typed: dict[str, str],
) -> None:
    named = [worn_fleet.rows[log] for log in ("readings", "fittings", "anode_positions")]
    for row in chain(*named):
        row["position"] = {"pencil": "cooler-pencil", "plate": "pump-plate"}[row["position"]]
    folder = standing(lacking(worn_fleet, *registers))
    before = {path: path.read_bytes() for path in folder.rglob("*.parquet")}
    app = run("week", folder)
    if "anode_positions" in registers:
        assert app.selectbox(key="start_template").value == "as the readings name them"
        app.selectbox(key="start_template").select("jet boat").run()
    fields = {field.key: field for field in [*app.text_input, *app.selectbox] if field.key}
    assert asks <= {*fields}
    for key, text in typed.items():
        fields[key].set_value(text)
    if "start_water" in fields and "start_water" not in typed:
        fields["start_water"].set_value("salt")
    if "start_since" in fields:
        assert fields["start_since"].value == "2031-04-01"  # the day of the oldest entry
    next(button for button in app.button if button.label == "Start the fleet").click()
    app.run()
    assert not app.exception
    assert app.title[0].value == "This week"
    assert "No answer from these logs" not in said(app)
    assert {path: path.read_bytes() for path in before} == before
    written = {path.parent.name for path in folder.rglob("*.parquet")} - {
        path.parent.name for path in before
    }
    assert written == {*registers}


def test_of_two_who_begin_a_fleet_the_later_writes_nothing(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    folder = standing(lacking(worn_fleet, "berths"))
    first, later = run("week", folder), run("week", folder)
    for app in (first, later):
        next(button for button in app.button if button.label == "Start the fleet").click()
    first.run()
    later.run()
    assert first.title[0].value == later.title[0].value == "This week"
    assert len(read_fleet(folder).berths) == len(worn_fleet.rows["hulls"])


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
    typed(screen, live_fleet.write(tmp_path / "fleet"))
    assert "Ferry" in visit(screen.session_state["browser"]).caption[0].value
    assert "Simulated" in said(visit("another browser"))


def test_a_visitor_can_go_back_to_the_demo(
    screen: AppTest, live_fleet: FleetLogs, tmp_path: Path
) -> None:
    app = typed(screen, live_fleet.write(tmp_path / "fleet"))
    next(button for button in app.button if "demo" in button.label).click()
    app.run()
    assert "Simulated" in said(app)
    assert "Simulated" in said(visit(app.session_state["browser"]))


def test_a_fleet_fixed_by_the_server_offers_no_other(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    app = run("week", standing(worn_fleet), on="2031-06-01")
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
    run: Run, worn_fleet: FleetLogs, tmp_path: Path, standing: Standing
) -> None:
    folder = standing(worn_fleet)
    app = run("hull", folder, hull="H1", on="2031-06-01")
    assert "6.61 mm" not in said(app)
    later = FleetLogs().reading("H1", "pencil", "2031-05-31 07:00", 6.61)
    later.write(tmp_path / "later")
    (tmp_path / "later/readings/part-0.parquet").rename(folder / "readings/more.parquet")
    assert "6.61 mm" in said(app.run())
