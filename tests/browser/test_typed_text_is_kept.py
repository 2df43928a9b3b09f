"""On a phone: what was typed and not sent outlives a reload and a look at another form."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import SLOW_MS, THUMB_MS, WRITE, Server
from tests.browser.test_one_tap_one_row import dock, fleet, form_on, phone

__all__ = ["dock", "fleet", "phone"]  # fixtures

pytestmark = pytest.mark.browser


def minutes(page: Page, text: str) -> None:
    expect(page.get_by_label("Minutes", exact=True)).to_have_value(text, timeout=SLOW_MS)


def test_typed_text_outlives_a_reload_and_another_form_and_is_written(
    phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    page = form_on(phone, f"{dock.address}/log_book?kind=flush&hull=H12")
    page.wait_for_selector("input[data-filled]", timeout=SLOW_MS)
    page.get_by_label("Minutes", exact=True).fill("13")
    page.reload()
    minutes(page, "13")
    page.get_by_text("Outing", exact=True).click()
    expect(page.get_by_label("Engine hours", exact=True)).to_be_visible(timeout=SLOW_MS)
    page.get_by_text("Flush", exact=True).click()
    minutes(page, "13")
    # the other form is gone from the page
    expect(page.get_by_role("button", name=WRITE)).to_have_count(1, timeout=SLOW_MS)
    page.get_by_role("button", name=WRITE).click()
    expect(page.get_by_text("Written:")).to_be_visible(timeout=SLOW_MS)
    # what the page shows is what is sent
    assert 13.0 in read_fleet(fleet).history["flushes"]["minutes"].tolist()
    page.wait_for_timeout(THUMB_MS)
    page.get_by_role("button", name="Write another").click()
    expect(page.get_by_role("button", name=WRITE)).to_be_visible(timeout=SLOW_MS)
    minutes(page, "")


def test_the_phone_remembers_its_last_role_and_hull(phone: BrowserContext, dock: Server) -> None:
    page = form_on(phone, f"{dock.address}/log_book?kind=flush&hull=H05&by=workshop")
    page.wait_for_function("document.cookie.includes('last_hull=H05')", timeout=SLOW_MS)
    page.close()
    again = form_on(phone, f"{dock.address}/log_book?kind=flush")
    for label, value in (("Hull", "H05"), ("Written by", "workshop")):
        shown = again.get_by_role("combobox", name=label)
        expect(shown.first).to_have_value(value, timeout=SLOW_MS)
