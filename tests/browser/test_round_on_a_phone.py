"""A round on a phone over a slow line: three anodes, one row each, loaded again on the way."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import (
    PHONE,
    SLOW_MS,
    WRITE,
    arrive,
    pick,
    serving,
    slow_line,
    unfold,
    watched,
)
from tests.fleets import FleetLogs

EMPTY_FORM = """() => {
  const sizes = document.querySelectorAll("input[aria-label='Size, mm']");
  return sizes.length === 1 && sizes[0].value === "";
}"""
ASKED = {("H1", "pencil"): 8.6, ("H1", "plate"): 14.1, ("H2", "pencil"): 8.4}


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    logs = FleetLogs().setting(name="Ferry Steps", timezone="Europe/Lisbon").mooring("E", "salt")
    logs.position("pencil").position("plate", "hull", 15.0, 10.0)
    for hull_id in ("H1", "H2"):
        logs.hull(hull_id).berth(hull_id, "E", since="2025-04-01")
        logs.season(hull_id, "2025-04-02", 5)
    return logs.write(tmp_path / "fleet")


@pytest.fixture
def page(browser: Browser, fleet: Path) -> Iterator[Page]:
    with serving(fleet) as dock, watched(browser, dock, **PHONE) as thumb:
        slow_line(thumb.page)
        older = thumb.page.get_by_text("Correct an older entry")
        arrive(thumb.page, f"{dock.address}/log_book", older)
        yield thumb.page
        assert not thumb.wrong


def turn(page: Page, hull_id: str, position: str) -> None:
    anode = page.get_by_role("heading", name=f"{hull_id} {position}", exact=True)
    expect(anode).to_be_visible(timeout=SLOW_MS)
    # asked in one go: the form before it may come and fade between two questions
    page.wait_for_function(EMPTY_FORM, timeout=SLOW_MS)


def test_a_round_walks_three_anodes_loaded_again_on_the_way_and_writes_one_row_each(
    page: Page, fleet: Path
) -> None:
    unfold(page, "Work through a round")
    pick(page, "Every anode of every hull there")
    page.get_by_role("button", name="Begin the round").click()
    for done, ((hull_id, position), size_mm) in enumerate(ASKED.items()):
        turn(page, hull_id, position)
        expect(page.get_by_text(f"{done} of 4 done")).to_be_visible(timeout=SLOW_MS)
        expect(page).to_have_url(re.compile("round=E.*since="))
        size = page.get_by_label("Size, mm", exact=True)
        if done == 1:  # with something typed that is not sent yet
            size.fill(str(size_mm))
            page.reload()
            expect(size).to_have_value(str(size_mm), timeout=SLOW_MS)
            assert page.locator("[data-testid=stMain]").evaluate("main => main.scrollWidth") == 390
        else:
            size.fill(str(size_mm))
        page.get_by_role("button", name=WRITE).dblclick()
    turn(page, "H2", "plate")
    # what was written, and an alarm, stand in sight and not above it
    expect(page.get_by_text("Written: H2 pencil")).to_be_in_viewport(timeout=SLOW_MS)
    unfold(page, "Skip it")
    page.get_by_role("button", name="H2 plate locked").click()
    expect(page.get_by_text("3 of 4 done, 1 skipped")).to_be_visible(timeout=SLOW_MS)
    page.get_by_role("button", name="Stop here").click()
    # another day, in a new tab: the phone knows the round that it was at
    expect(page.get_by_role("button", name="Go on with the round at E")).to_be_visible(
        timeout=SLOW_MS
    )
    page.goto(page.url.split("?")[0])
    page.get_by_role("button", name="Go on with the round at E").click(timeout=SLOW_MS)
    page.get_by_role("button", name="Go back to H2: plate").click(timeout=SLOW_MS)
    turn(page, "H2", "plate")
    rows = read_fleet(fleet).history["readings"]
    written = {(row["hull_id"], row["position"]): row["size_mm"] for _, row in rows.iterrows()}
    assert len(rows) == len(ASKED)
    assert written == ASKED
