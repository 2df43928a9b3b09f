"""Real taps on a phone over a slow line: one tap, one row, in the fleet that the form names."""

import re
import shutil
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pandas as pd
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import (
    PHONE,
    SLOW_MS,
    WRITE,
    Server,
    arrive,
    serving,
    slow_line,
    watched,
)
from tests.fleets import FleetLogs

# timed in the page, since a call of the driver takes longer than the gap
TAPS = """([first, second, y, gap]) => new Promise((done) => {
  const tap = (x) => document.elementFromPoint(x, y).dispatchEvent(
    new MouseEvent("click", { bubbles: true, cancelable: true, clientX: x, clientY: y }));
  tap(first);
  setTimeout(() => { tap(second); done(); }, gap);
})"""


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    logs = FleetLogs().setting(name="Ferry Steps", timezone="Europe/Lisbon")
    logs = logs.mooring("E", "salt").position("pencil").position("plate")
    for number in range(1, 13):
        hull_id = f"H{number:02d}"
        logs.hull(hull_id).berth(hull_id, "E", since="2025-04-01")
        logs.fitting(hull_id, "pencil", "2025-04-01").season(hull_id, "2025-04-02", 30)
    return logs.write(tmp_path_factory.mktemp("fleet"))


@pytest.fixture(scope="module")
def dock(fleet: Path) -> Iterator[Server]:
    with serving(fleet) as running:
        yield running


@pytest.fixture
def phone(browser: Browser, dock: Server) -> Iterator[BrowserContext]:
    with watched(browser, dock, **PHONE) as opened:
        yield opened.page.context


def form_on(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    slow_line(page)
    written, older = (
        page.get_by_role("button", name=WRITE),
        page.get_by_text("Correct an older entry"),
    )
    arrive(page, address, written, older)
    return page


def tap_twice(page: Page, gap_ms: int, apart: bool) -> None:
    """Tap where the button stands, whatever stands there at the second tap."""
    button = page.get_by_role("button", name=WRITE)
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    y = box["y"] + box["height"] / 2
    # two taps far apart on the wide button are not taken for one by the page itself
    left, right = (0.15, 0.85) if apart else (0.5, 0.5)
    xs = [box["x"] + box["width"] * share for share in (left, right)]
    page.evaluate(TAPS, [*xs, y, gap_ms])


def count(fleet: Path, log: str = "flushes") -> int:
    return len(read_fleet(fleet).history[log])


def flushes(fleet: Path, hulls: list[str]) -> pd.Series:
    """How many flushes each of the hulls has on record."""
    return read_fleet(fleet).history["flushes"]["hull_id"].value_counts().reindex(hulls).fillna(0)


def settled(*pages: Page) -> None:
    """The answer is drawn, and a second row would have come."""
    for page in pages:
        expect(page.get_by_text("Written:")).to_be_visible(timeout=SLOW_MS)
    pages[0].wait_for_timeout(4_000)
    for page in pages:
        expect(page.get_by_text("Written:")).to_be_visible(timeout=SLOW_MS)


def test_two_taps_write_one_row(phone: BrowserContext, dock: Server, fleet: Path) -> None:
    ways = enumerate(product((30, 100, 300), (True, False)), 1)
    taps = {f"H{number:02d}": way for number, way in ways}
    before, pages = flushes(fleet, list(taps)), []
    for hull_id, (gap_ms, apart) in taps.items():
        page = form_on(phone, f"{dock.address}/log_book?kind=flush&hull={hull_id}")
        page.get_by_label("Minutes", exact=True).fill("8")
        tap_twice(page, gap_ms, apart)
        pages.append(page)
    settled(*pages)
    rows = flushes(fleet, list(taps)) - before
    assert rows[rows != 1].empty, f"{rows[rows != 1]} of {taps}"


def test_two_taps_write_one_reading(phone: BrowserContext, dock: Server, fleet: Path) -> None:
    before = count(fleet, "readings")
    page = form_on(phone, f"{dock.address}/log_book?hull=H07")
    page.get_by_label("Size, mm", exact=True).fill("8.6")
    tap_twice(page, 200, apart=True)
    settled(page)
    assert count(fleet, "readings") == before + 1
    page.get_by_role("button", name="Next anode").click()
    expect(page.get_by_label("Size, mm", exact=True)).to_have_value("", timeout=SLOW_MS)


def test_a_page_loaded_again_between_two_taps_writes_one_row(
    phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    before = count(fleet)
    page = form_on(phone, f"{dock.address}/log_book?kind=flush&hull=H08")
    page.get_by_label("Minutes", exact=True).fill("8")
    page.get_by_role("button", name=WRITE).click()
    page.wait_for_timeout(300)  # sent, and no answer yet
    page.reload()
    again = page.get_by_role("button", name=WRITE)
    expect(again.or_(page.get_by_text("Written:")).first).to_be_visible(timeout=SLOW_MS)
    if again.is_visible():
        again.click()
    settled(page)
    assert count(fleet) == before + 1


def test_two_tabs_of_one_form_write_one_row_and_say_which(
    phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    before = count(fleet)
    one = form_on(phone, f"{dock.address}/log_book?kind=flush&hull=H09")
    expect(one).to_have_url(re.compile("form="), timeout=SLOW_MS)
    two = form_on(phone, one.url)
    for page, minutes in ((one, "8"), (two, "9")):
        page.get_by_label("Minutes", exact=True).fill(minutes)
    one.get_by_role("button", name=WRITE).click()
    two.get_by_role("button", name=WRITE).click()
    # the presses are on their way at once: either may come first, and the other is told of it
    for page in (one, two):
        answer = page.get_by_text("Written:").or_(page.get_by_text("Not written."))
        expect(answer.first).to_be_visible(timeout=SLOW_MS)
    wrote = one if one.get_by_text("Written:").is_visible() else two
    other, first, later = (two, "8", "9") if wrote is one else (one, "9", "8")
    settled(wrote)
    expect(other.get_by_text(f"then said: H09 flushed, {first} min")).to_be_visible()
    expect(other.get_by_label("Minutes", exact=True)).to_have_value(later)
    assert count(fleet) == before + 1


def test_the_address_of_a_form_on_a_second_phone_is_another_form(
    browser: Browser, phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    before = count(fleet)
    one = form_on(phone, f"{dock.address}/log_book?kind=flush&hull=H10")
    expect(one).to_have_url(re.compile("form="), timeout=SLOW_MS)
    context = browser.new_context(**PHONE)
    two = form_on(context, one.url)
    for page, minutes in ((one, "8"), (two, "9")):
        page.get_by_label("Minutes", exact=True).fill(minutes)
        page.get_by_role("button", name=WRITE).click()
        # within the same minute the second one is asked about: never called written unasked
        another = page.get_by_role("button", name="No, another flush")
        expect(another.or_(page.get_by_text("Written:")).first).to_be_visible(timeout=SLOW_MS)
        if another.is_visible():
            another.click()
        settled(page)
    context.close()
    assert count(fleet) == before + 2


def test_a_visitor_who_opens_another_fleet_does_not_move_the_next_ones_entries(
    browser: Browser, server: Server, fleet: Path, tmp_path: Path
) -> None:
    theirs = tmp_path / "theirs"
    shutil.copytree(fleet, theirs)
    writers = [browser.new_context(**PHONE) for _ in range(2)]
    pages = []
    for context, folder in zip(writers, (fleet, theirs), strict=True):
        page = context.new_page()
        page.goto(f"{server.address}/open_fleet")
        page.get_by_label("Path of the fleet folder", exact=True).fill(str(folder))
        page.get_by_role("button", name="Open this folder").click()
        expect(page.get_by_text("This week").first).to_be_visible(timeout=SLOW_MS)
        expect(page.get_by_text("Ferry Steps").first).to_be_visible(timeout=SLOW_MS)
        pages.append(page)
    before = count(fleet), count(theirs)
    page = pages[0]  # the other visitor opened theirs after this one
    page.goto(f"{server.address}/log_book?kind=flush&hull=H11")
    page.get_by_role("button", name=WRITE).click(timeout=SLOW_MS)
    settled(page)
    assert (count(fleet), count(theirs)) == (before[0] + 1, before[1])
    for context in writers:
        context.close()
