"""On a phone whose line is cut for ten seconds: our words, the typed text, and one row."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, WebSocketRoute, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import SLOW_MS, WRITE, Server
from tests.browser.test_one_tap_one_row import dock, fleet, form_on, phone

__all__ = ["dock", "fleet", "phone"]  # fixtures

pytestmark = pytest.mark.browser

CUT_MS = 10_000
LOST, BACK = "No connection: trying again by itself", "Connected again"


def test_a_cut_of_ten_seconds_is_said_in_our_words_and_loses_nothing(
    phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    lines: list[WebSocketRoute] = []
    is_cut = False

    def carry(line: WebSocketRoute) -> None:
        if is_cut:
            line.close()
            return
        line.connect_to_server()
        lines.append(line)

    # to be offline stops new requests, and leaves an open line open: that one is closed as well
    phone.route_web_socket(lambda _: True, carry)
    page: Page = form_on(phone, f"{dock.address}/log_book?kind=flush&hull=H11")
    page.wait_for_selector("input[data-filled]", timeout=SLOW_MS)
    minutes = page.get_by_label("Minutes", exact=True)
    minutes.fill("17")
    is_cut = True
    phone.set_offline(True)
    for line in lines:
        line.close()
    expect(page.get_by_text(LOST)).to_be_visible(timeout=SLOW_MS)
    page.wait_for_timeout(CUT_MS)  # the cut itself
    expect(page.get_by_text(LOST)).to_be_visible()
    expect(page.get_by_role("dialog")).to_have_count(0)
    assert "Streamlit" not in page.inner_text("body")
    is_cut = False
    phone.set_offline(False)
    expect(page.get_by_text(BACK)).to_be_visible(timeout=SLOW_MS)
    expect(minutes).to_have_value("17")
    page.get_by_role("button", name=WRITE).click()
    expect(page.get_by_text("Written:")).to_be_visible(timeout=SLOW_MS)
    assert read_fleet(fleet).history["flushes"]["minutes"].tolist().count(17.0) == 1
