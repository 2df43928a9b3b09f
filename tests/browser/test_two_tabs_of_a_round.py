"""Two tabs of a phone at one anode of a round: exactly one row, and both are told the truth."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import SLOW_MS, WRITE, Server, arrive, pick, serving, slow_line, unfold
from tests.browser.test_one_tap_one_row import phone
from tests.fleets import FleetLogs

__all__ = ["phone"]  # a fixture

pytestmark = pytest.mark.browser


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    logs = FleetLogs().setting(name="Ferry Steps", timezone="Europe/Lisbon").mooring("E", "salt")
    logs.position("pencil").position("plate", "hull", 15.0, 10.0)
    logs.hull("H1").berth("H1", "E", since="2025-04-01").season("H1", "2025-04-02", 5)
    return logs.write(tmp_path / "fleet")


@pytest.fixture
def dock(fleet: Path) -> Iterator[Server]:
    with serving(fleet) as running:
        yield running


def size_of(page: Page, size_mm: str) -> None:
    field = page.get_by_label("Size, mm", exact=True)
    expect(field).to_have_value("", timeout=SLOW_MS)
    field.fill(size_mm)


def test_two_tabs_at_one_anode_of_a_round_write_one_row_and_both_say_which(
    phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    one = phone.new_page()
    slow_line(one)
    arrive(one, f"{dock.address}/log_book", one.get_by_text("Correct an older entry"))
    unfold(one, "Work through a round")
    pick(one, "Every anode of every hull there")
    one.get_by_role("button", name="Begin the round").click(timeout=SLOW_MS)
    expect(one).to_have_url(re.compile("round=E.*since="), timeout=SLOW_MS)
    anode = "H1 pencil"
    expect(one.get_by_role("heading", name=anode, exact=True)).to_be_visible(timeout=SLOW_MS)
    two = phone.new_page()
    two.goto(one.url, timeout=SLOW_MS)
    expect(two.get_by_role("heading", name=anode, exact=True)).to_be_visible(timeout=SLOW_MS)
    size_of(one, "8.6")
    size_of(two, "8.5")
    one.get_by_role("button", name=WRITE).click()
    two.get_by_role("button", name=WRITE).click()
    # either may come first; the other is told what stands there, and is not told that it wrote
    row_named = re.compile(r"Written: H1 pencil|then said: H1 pencil|H1 pencil.*done|entered")
    for page in (one, two):
        expect(page.get_by_text(row_named).first).to_be_visible(timeout=SLOW_MS)
    rows = read_fleet(fleet).history["readings"]
    assert len(rows) == 1
