"""The log book on a phone: each form writes its row once, and loses nothing of what was typed."""

import re
import resource
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import HOUSE, PHONE, WRITE, Server, Watched, arrive, serving, watched


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demo fleet that may be written into."""
    folder = tmp_path_factory.mktemp("fleet") / "logs"
    shutil.copytree(HOUSE / "demo_fleet" / "logs", folder)
    return folder


@pytest.fixture(scope="module")
def dock(fleet: Path) -> Iterator[Server]:
    with serving(fleet) as running:
        yield running


@pytest.fixture
def thumb(browser: Browser, dock: Server) -> Iterator[Watched]:
    with watched(browser, dock, **PHONE) as opened:
        yield opened


def open_form(page: Page, dock: Server, address: str) -> None:
    arrive(page, f"{dock.address}/log_book?{address}", page.get_by_role("button", name=WRITE))


def count(fleet: Path, log: str) -> int:
    return len(read_fleet(fleet).history[log])


def written(page: Page) -> None:
    expect(page.get_by_text("Written:")).to_be_visible(timeout=60_000)


FORMS = [
    ("outing", "outings", {"Engine hours": "1,4"}, "engine_hours", 1.4),
    ("flush", "flushes", {"Minutes": "8"}, "minutes", 8.0),
    ("berth", "berths", {}, "hull_id", "H07"),
    ("water", "water_samples", {"Temperature, °C": "18,5"}, "temperature_c", 18.5),
    ("hire", "bookings", {"Engine hours expected": "1.2"}, "engine_hours", 1.2),
    ("engine", "engine_swaps", {"Engine that went in: its mark or serial": "two"}, "engine", "two"),
]


@pytest.mark.parametrize(("kind", "log", "typed", "cell", "value"), FORMS)
def test_each_form_writes_its_row_on_a_phone(
    thumb: Watched, dock: Server, fleet: Path, kind: str, log: str, typed: dict[str, str],
    cell: str, value: object,
) -> None:  # fmt: skip
    before = count(fleet, log)
    open_form(thumb.page, dock, f"kind={kind}&hull=H07")
    for label, text in typed.items():
        thumb.page.get_by_label(label, exact=True).fill(text)
    thumb.page.get_by_role("button", name=WRITE).click()
    written(thumb.page)
    assert count(fleet, log) == before + 1
    rows = read_fleet(fleet).history[log]
    assert value in rows.loc[rows["entered_at"] == rows["entered_at"].max(), cell].tolist()
    assert not thumb.wrong


def test_a_double_tap_writes_one_row(thumb: Watched, dock: Server, fleet: Path) -> None:
    before = count(fleet, "readings")
    open_form(thumb.page, dock, "hull=H12")
    expected = thumb.page.get_by_text("last:").inner_text()
    size = expected.split("last: ")[1].split(" mm")[0]
    thumb.page.get_by_label("Size, mm", exact=True).fill(size)
    thumb.page.get_by_role("button", name=WRITE).dblclick()
    written(thumb.page)
    thumb.page.wait_for_timeout(3_000)  # a second row would come now
    assert count(fleet, "readings") == before + 1


def test_an_inch_is_asked_back_and_written_as_answered(
    thumb: Watched, dock: Server, fleet: Path
) -> None:
    before = count(fleet, "readings")
    open_form(thumb.page, dock, "hull=H07")
    thumb.page.get_by_label("Size, mm", exact=True).fill("0.32")
    thumb.page.get_by_role("button", name=WRITE).click()
    thumb.page.get_by_role("button", name="Inches: 8.13 mm").click()
    written(thumb.page)
    assert count(fleet, "readings") == before + 1


def test_after_a_refusal_a_page_loaded_again_has_what_was_typed(
    thumb: Watched, dock: Server, fleet: Path
) -> None:
    page, before = thumb.page, count(fleet, "flushes")
    open_form(page, dock, "kind=flush&hull=H07")
    page.get_by_label("Minutes", exact=True).fill("9,5")
    pid, whole = dock.process.pid, resource.prlimit(dock.process.pid, resource.RLIMIT_FSIZE)
    # the system refuses the server every byte of a file, as a full disk does
    resource.prlimit(pid, resource.RLIMIT_FSIZE, (0, whole[1]))
    try:
        page.get_by_role("button", name=WRITE).click()
        expect(page.get_by_text("Not written.")).to_be_visible(timeout=60_000)
    finally:
        resource.prlimit(pid, resource.RLIMIT_FSIZE, whole)
    expect(page.get_by_label("Minutes", exact=True)).to_have_value("9,5")
    page.reload()
    expect(page.get_by_label("Minutes", exact=True)).to_have_value("9,5", timeout=90_000)
    assert count(fleet, "flushes") == before
    page.get_by_role("button", name=WRITE).click()
    written(page)
    assert count(fleet, "flushes") == before + 1


@pytest.mark.parametrize("path", ["log_book?hull=H07", "registers", "log_check"])
def test_the_pages_of_the_desk_fit_a_phone(thumb: Watched, dock: Server, path: str) -> None:
    arrive(thumb.page, f"{dock.address}/{path}")
    thumb.page.wait_for_timeout(500)
    assert thumb.page.locator("[data-testid=stMain]").evaluate("main => main.scrollWidth") == 390
    assert not thumb.wrong


def test_the_log_book_loads_no_chart_library_and_no_table_widget(
    thumb: Watched, dock: Server
) -> None:
    loaded: list[str] = []
    thumb.page.on("request", lambda sent: loaded.append(sent.url.lower()))
    open_form(thumb.page, dock, "hull=H07")
    assert loaded
    assert not [url for url in loaded if "plotly" in url or "dataframe" in url]


def test_number_fields_ask_the_phone_for_digits(thumb: Watched, dock: Server) -> None:
    open_form(thumb.page, dock, "hull=H07")
    size = thumb.page.get_by_label("Size, mm", exact=True)
    expect(size).to_have_attribute("inputmode", "decimal")


def test_who_turns_from_the_form_to_the_hull_and_back_stays_with_the_hull(
    browser: Browser, dock: Server
) -> None:
    with watched(browser, dock) as desk:
        page, pages = desk.page, desk.page.get_by_test_id("stSidebarNav")
        chosen = page.get_by_test_id("stSelectbox").locator("input[value=H08]")
        arrive(page, f"{dock.address}/log_book?hull=H08", chosen)
        pages.get_by_role("link", name="Hull", exact=True).click()
        expect(page.get_by_role("heading", name="The course of an anode")).to_be_visible()
        expect(page).to_have_url(re.compile(r"hull\?hull=H08"))
        pages.get_by_role("link", name="Log book").click()
        expect(page.get_by_role("button", name=WRITE)).to_be_visible()
        expect(chosen).to_be_visible()
        assert not desk.wrong
