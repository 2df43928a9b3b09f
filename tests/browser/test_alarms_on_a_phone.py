"""On a phone over a slow line: what may not wait alarms, and what makes no sense is not taken."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.serving import SLOW_MS, THUMB_MS, WRITE, Server, serving, unfold
from tests.browser.test_one_tap_one_row import form_on, phone
from tests.fleets import FleetLogs

__all__ = ["phone"]  # a fixture

pytestmark = pytest.mark.browser

FAR_CLOCK = ZoneInfo("Pacific/Auckland")  # half a day from the phone's own
TOMORROW = datetime.now(FAR_CLOCK).replace(hour=9, minute=30) + timedelta(days=1)


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    logs = FleetLogs().setting(name="Ferry Steps", timezone=FAR_CLOCK.key)
    logs.setting(roles=["dock, early shift", "workshop"]).mooring("E", "salt")
    logs.position("pencil", limit_source="manual p. 12").position("plate", "hull", 15.0, 10.0)
    logs.position("bar", layout="light", alloy="magnesium", circuit="hull")
    for hull_id, layout in (("H1", "twin"), ("H2", "light")):
        logs.hull(hull_id, layout).berth(hull_id, "E", since="2025-04-01")
        logs.season(hull_id, "2025-04-02", 5)
    hire = [f"{TOMORROW + timedelta(hours=late):%Y-%m-%d %H:%M%z}" for late in (0, 2)]
    logs.booking("H1", *hire)
    return logs.write(tmp_path_factory.mktemp("fleet"))


@pytest.fixture(scope="module")
def dock(fleet: Path) -> Iterator[Server]:
    with serving(fleet) as running:
        yield running


def ready(page: Page) -> Page:
    """The form is drawn for good: what was kept of it has come back."""
    page.wait_for_selector("input[data-filled]", timeout=SLOW_MS)
    return page


def alarmed(page: Page, written: str, *texts: str) -> None:
    for text in texts:
        expect(page.get_by_role("alert").get_by_text(text)).to_be_visible(timeout=SLOW_MS)
    # what was written is said as well, and not in green
    expect(page.get_by_text(f"Written: {written}")).to_be_visible(timeout=SLOW_MS)
    expect(page.get_by_test_id("stAlertContentSuccess")).to_have_count(0)
    page.get_by_role("button", name="It is told, and the hull stays in").click()
    expect(page.get_by_text("Alarm:")).to_have_count(0, timeout=SLOW_MS)


def test_what_may_not_wait_is_an_alarm_with_the_stop_the_next_hire_and_whom_to_call(
    phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    page = ready(form_on(phone, f"{dock.address}/log_book?hull=H1"))
    page.get_by_label("Size, mm", exact=True).fill("6,3")
    page.get_by_role("button", name=WRITE).click()
    hire = f"Its next hire: {TOMORROW:%a} {TOMORROW.day} {TOMORROW:%b %Y, %H:%M}."
    alarmed(
        page,
        "H1 pencil: 6.3 mm",
        "Alarm: H1 pencil is past its limit: 6.3 mm, limit 6.4 mm, manual p. 12.",
        "Keep the hull in and tell the workshop.",
        f"{hire} Call: workshop.",
    )
    page.get_by_role("button", name="Next anode").click()
    expect(page.get_by_label("Size, mm", exact=True)).to_have_value("", timeout=SLOW_MS)
    page.get_by_label("Size, mm", exact=True).fill("14,2")
    unfold(page, "More: contact, potential")
    page.get_by_label("Contact resistance, ohm", exact=True).fill("40")
    page.get_by_label("Potential, mV (silver/silver chloride)", exact=True).fill("-500")
    page.get_by_role("button", name=WRITE).click()
    # above 1 ohm: more than a bond may have; above -800 mV: not protected (both from memory)
    seen = ("H1 plate has no good contact: 40 ohm", "H1 plate: -500 mV is above -800 mV")
    alarmed(page, "H1 plate: 14.2 mm", *seen)
    page.close()
    page = ready(form_on(phone, f"{dock.address}/log_book?hull=H2"))
    page.get_by_label("Size, mm", exact=True).fill("8,4")
    page.get_by_role("button", name=WRITE).click()
    alarmed(page, "H2 bar: 8.4 mm", "H2 bar is magnesium in salt water", "No hire of it is booked.")
    assert sorted(read_fleet(fleet).history["readings"]["size_mm"]) == [6.3, 8.4, 14.2]


def test_a_slip_is_asked_back_and_another_day_by_the_fleets_clock_is_named(
    phone: BrowserContext, dock: Server, fleet: Path
) -> None:
    page = ready(form_on(phone, f"{dock.address}/log_book?kind=flush&hull=H1"))
    clock = page.get_by_text("whose clock shows")
    expect(clock).to_contain_text(FAR_CLOCK.key)
    now = datetime.now(FAR_CLOCK)
    assert f"{now:%a} {now.day} {now:%b %Y}" in clock.inner_text()
    minutes = page.get_by_label("Minutes", exact=True)
    minutes.fill("7000")
    page.get_by_role("button", name=WRITE).click()
    expect(page.get_by_text("7000 is not between 0 and 720 min")).to_be_visible(timeout=SLOW_MS)
    page.wait_for_timeout(THUMB_MS)
    minutes.fill("700")
    page.get_by_role("button", name=WRITE).click()
    expect(page.get_by_text("and 700 min are typed")).to_be_visible(timeout=SLOW_MS)
    expect(page.get_by_text("Written:")).to_have_count(0)
    minutes.fill("7")
    yesterday = now - timedelta(days=1)
    # by the arrows of the field: the first of a month goes round to the last of the one before
    for part in ("day", "month") if now.day == 1 else ("day",):
        page.get_by_role("spinbutton", name=f"{part}, When: day").press("ArrowDown")
    page.keyboard.press("Tab")
    page.get_by_role("button", name=WRITE).click()
    confirmation = page.get_by_text("Written:")
    expect(confirmation).to_contain_text(
        f"not today: {yesterday:%a} {yesterday.day}", timeout=SLOW_MS
    )
    flushes = read_fleet(fleet).history["flushes"]
    assert flushes["minutes"].tolist() == [7.0]
