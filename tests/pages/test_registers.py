"""Registers and log check: what the fleet has, and which entries are not believed."""

import re
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from corrosion.records.logbook import read_fleet
from corrosion.records.settings import read_settings
from pages._shared.register_rows import PAGE_ROWS
from tests.fleets import FleetLogs
from tests.pages.reading import DEMO, Run, Standing, lists
from tests.pages.test_log_book import press, told, type_in

pytestmark = pytest.mark.slow


@pytest.fixture
def folder(worn_fleet: FleetLogs, standing: Standing) -> Path:
    return standing(worn_fleet.setting(simulated=True))


SECTIONS = ("hulls", "moorings", "berths", "layouts", "stock", "settings", "QR codes")


@pytest.mark.parametrize("register", SECTIONS)
def test_every_register_opens_on_the_demo_and_on_a_small_fleet(
    run: Run, folder: Path, register: str
) -> None:
    for logs in (None, folder):
        app = run("registers", logs, register=register)
        assert not app.exception
        assert "places for anodes" in app.markdown[0].value


def select(app: AppTest, label: str, value: str) -> None:
    next(field for field in app.selectbox if field.label.startswith(label)).set_value(value)


def test_a_new_hull_goes_in_with_its_berth(run: Run, folder: Path) -> None:
    app = run("registers", folder)
    type_in(app, "The hull", "H9")
    select(app, "Which engine", "twin")
    type_in(app, "First day", "2031-05-01")
    select(app, "Lives at", "B")
    press(app, "Enter the hull")
    assert not app.exception
    book = read_fleet(folder)
    assert "H9" in set(book.hulls["hull_id"])
    berth = book.berths[book.berths["hull_id"] == "H9"].iloc[0]
    # Lisbon is at UTC+1 in summer (IANA time zone database)
    assert berth["since"] == pd.Timestamp("2031-04-30 23:00", tz="UTC")
    assert berth["mooring_id"] == "B"


def test_a_hull_that_is_in_the_register_is_not_entered_again(run: Run, folder: Path) -> None:
    app = run("registers", folder)
    type_in(app, "The hull", "H1")
    select(app, "Which engine", "twin")
    press(app, "Enter the hull")
    assert "in the register already" in app.error[0].value


def enter_place(app: AppTest, *, new_size: str, days: str) -> None:
    """Fill in a place for an anode, and send it."""
    type_in(app, "Which engine", "twin")
    type_in(app, "The place", "cooler")
    for label, value in (("Which water", "engine"), ("The metal", "zinc")):
        select(app, label, value)
    type_in(app, "Size of a new", new_size)
    type_in(app, "Replace at", "10")
    type_in(app, "Days between", days)
    press(app, "Enter it")


def test_a_slip_in_a_size_or_interval_is_asked_about_and_written_when_it_stands(
    run: Run, folder: Path
) -> None:
    app = run("registers", folder, register="layouts")
    enter_place(app, new_size="200", days="3000")
    assert not app.exception
    questions = told(app)
    assert "another unit" in questions
    assert "manuals seldom ask for" in questions
    assert "cooler" not in set(read_fleet(folder).anode_positions["position"])
    press(app, "It is right as typed")
    assert "cooler" in set(read_fleet(folder).anode_positions["position"])


def test_a_size_beyond_sense_is_not_written(run: Run, folder: Path) -> None:
    app = run("registers", folder, register="layouts")
    enter_place(app, new_size="2000", days="99999")
    errors = " ".join(error.value for error in app.error)
    assert "more than any part has" in errors
    assert "is not between 1 and 3660" in errors


def test_a_sold_hull_leaves_the_fleet_and_keeps_its_rows(run: Run, folder: Path) -> None:
    before = len(read_fleet(folder).outings)
    app = run("registers", folder)
    select(app, "Hull", "H2")
    press(app, "Take it out of the fleet")
    assert not app.exception
    book = read_fleet(folder)
    assert len(book.outings) == before
    assert app.success[0].value.startswith("H2 left the fleet")
    assert (book.history["hulls"]["standing"] == "corrected").sum() == 1


def test_rows_of_a_renamed_hull_are_brought_home(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    worn_fleet.outing("Plover", "2031-05-20 18:00")
    folder = standing(worn_fleet.setting(simulated=True))
    app = run("registers", folder)
    select(app, "belong to", "H1")
    press(app, "Correct every one")
    assert not app.exception
    assert "Plover" not in set(read_fleet(folder).outings["hull_id"])


def test_settings_are_written_and_the_old_ones_kept(run: Run, folder: Path) -> None:
    app = run("registers", folder, register="settings")
    type_in(app, "Risk that you accept", "0,05")
    press(app, "Write the settings")
    assert not app.exception
    assert read_settings(folder).tolerated_risk == 0.05
    assert len(list(folder.glob("fleet.until-*.toml"))) == 1
    assert "kept as fleet" in app.success[0].value


def test_settings_that_cannot_be_are_refused(run: Run, folder: Path) -> None:
    app = run("registers", folder, register="settings")
    type_in(app, "Time zone", "Nowhere/Else")
    press(app, "Write the settings")
    assert "Not written" in app.error[0].value
    assert read_settings(folder).timezone.key == "Europe/Lisbon"


def test_an_empty_folder_is_started_step_by_step(run: Run, tmp_path: Path) -> None:
    place_of_fleet = tmp_path / "new"
    place_of_fleet.mkdir()
    app = run("registers", place_of_fleet)
    assert app.title[0].value == "Start a fleet"
    type_in(app, "Name of the fleet", "Ferry Steps")
    type_in(app, "Time zone", "Europe/Lisbon")
    press(app, "Next")
    type_in(app, "Name of the mooring", "E")
    select(app, "Its water", "salt")
    select(app, "Metal of the anodes", "zinc")
    type_in(app, "Manual and page", "manual p. 3")
    for position in ("cooler-pencil", "jacket-pencil"):
        type_in(app, f"{position}: new", "9")
        type_in(app, f"{position}: replace at", "6,4")
    type_in(app, "Hulls of this layout", "H1, H2")
    type_in(app, "In the fleet since", "2 May 2024")
    press(app, "Start the fleet")
    assert not app.exception
    book = read_fleet(place_of_fleet)
    assert book.hulls["hull_id"].tolist() == ["H1", "H2"]
    assert set(book.berths["since"].dt.strftime("%Y-%m-%d")) == {"2024-05-01"}  # 2 May there
    assert book.anode_positions["position"].tolist() == ["cooler-pencil", "jacket-pencil"]
    assert book.anode_positions["limit_size_mm"].tolist() == [6.4] * 2
    assert set(book.anode_positions["layout"]) == {"jet boat"}
    assert app.title[0].value == "Import, export"
    assert "The fleet is started" in app.success[0].value


def test_a_layout_without_sizes_and_pages_is_not_entered(run: Run, tmp_path: Path) -> None:
    empty = tmp_path / "new"
    empty.mkdir()
    (empty / "fleet.toml").write_text('name = "Ferry Steps"\n')
    app = run("registers", empty)
    type_in(app, "Name of the mooring", "E")
    type_in(app, "Hulls of this layout", "H1")
    type_in(app, "cooler-pencil: new", "9")
    press(app, "Start the fleet")
    errors = " ".join(error.value for error in app.error)
    assert "which manual and on which page" in errors
    assert not (empty / "hulls").exists()


def test_log_check_counts_and_lists_every_finding_with_its_rows(run: Run) -> None:
    app = run("check", None)
    assert not app.exception
    assert "set aside" in app.markdown[0].value
    listed = lists(app)
    findings = listed["One line for each rule and log, the gravest first."]
    findings += listed["As above, less grave."]
    assert findings.index("exact-duplicate") < findings.index("change-not-recorded")
    app = run("check", None, finding="readings inch-for-mm")
    assert "Read in inches it would fit" in told(app)


def test_a_finding_leads_to_the_correction_of_its_row(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    worn_fleet.reading("H1", "pencil", "2031-05-30 07:00", 0.262, entry_id="old")
    folder = standing(worn_fleet.setting(simulated=True))
    app = run("check", folder)
    press(app, "Correct")
    assert not app.exception
    assert app.title[0].value == "Log book"
    assert "Correct an entry" in told(app)


def test_every_page_with_a_forecast_says_what_was_set_aside(run: Run) -> None:
    app = run("hull", None, hull="H07")
    assert any("set aside in the logs" in link.proto.label for link in app.get("page_link"))


def test_log_check_opens_on_a_thin_and_a_damaged_fleet(run: Run, standing: Standing) -> None:
    fleet = FleetLogs().setting(simulated=True).mooring("E").position("pencil")
    folder = standing(fleet.hull("H1").berth("H1", "E"))
    assert not run("check", folder).exception
    (folder / "hulls" / "torn.parquet").write_bytes(b"PAR1 torn")
    app = run("check", folder)
    assert not app.exception
    assert "torn.parquet" in told(app)


def test_of_two_settings_forms_the_older_one_asks_before_it_undoes_the_newer(
    run: Run, folder: Path
) -> None:
    older, newer = (run("registers", folder, register="settings") for _ in range(2))
    for app, risk, wage in ((newer, "0.05", "36"), (older, "0.2", None)):
        type_in(app, "Risk that you", risk)
        if wage:
            type_in(app, "An hour", wage)
        press(app, "Write the settings")
        assert not app.exception
    assert read_settings(folder).tolerated_risk == 0.05
    shown = " ".join(text.value for text in older.markdown).replace("\\", "")
    assert "**0.05** in the file now; **0.2** in your form" in shown
    press(older, "Write what is in my form")
    assert not older.exception
    settings = read_settings(folder)
    assert (settings.tolerated_risk, settings.wage_per_hour) == (0.2, 36.0)


def hulls_listed(app: AppTest) -> list[str]:
    html = next(html for name, html in lists(app).items() if "that stand" in name)
    return re.findall(r"<b>(H\d+)</b>", html)


def test_a_long_register_is_turned_page_by_page_and_found_by_a_word(run: Run) -> None:
    app = run("registers", None)
    pages = [hulls_listed(app)]
    turner = app.number_input(key="page_hulls")
    for page in range(2, int(turner.max) + 1):
        app.number_input(key="page_hulls").set_value(page).run()
        pages.append(hulls_listed(app))
    everybody = [hull_id for page in pages for hull_id in page]
    assert max(map(len, pages)) <= PAGE_ROWS < len(everybody)
    assert sorted(everybody) == sorted(set(read_fleet(DEMO).hulls["hull_id"]))
    app.text_input(key="find_hulls").set_value("h13").run()
    assert not app.exception
    assert hulls_listed(app) == ["H13"], "the last page of all is beyond the one page that is left"
    app.text_input(key="find_hulls").set_value("no such hull").run()
    assert "No row holds no such hull" in told(app)


def test_a_short_register_has_nothing_to_turn(run: Run, folder: Path) -> None:
    app = run("registers", folder)
    assert len(hulls_listed(app)) == 3
    assert "page_hulls" not in {field.key for field in app.number_input}
