"""The week's pull-outs in a browser: decided, issued, and taken along onto paper."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from icalendar import Calendar
from playwright.sync_api import Browser, Page, expect

from corrosion.records.logbook import read_fleet
from tests.browser.printing import printed, texts
from tests.browser.serving import (
    FOOT,
    HOUSE,
    PHONE,
    Server,
    arrive,
    at_rest,
    choose,
    pick,
    serving,
    unfold,
    watched,
)


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the demo fleet that may be written to."""
    copy = tmp_path_factory.mktemp("fleet") / "logs"
    shutil.copytree(HOUSE / "demo_fleet" / "logs", copy)
    return copy


@pytest.fixture(scope="module")
def own(fleet: Path) -> Iterator[Server]:
    with serving(fleet, program=("-m", "tests.browser.impatient_server")) as running:
        yield running


# what a page says under way comes and goes; this notes every line of it, however short it stands
NOTES_WHAT_IS_UNDER_WAY = """
window.underWay = [];
new MutationObserver(() => {
  for (const line of document.querySelectorAll("[data-testid=stCaptionContainer]")) {
    const words = line.textContent.trim();
    if (words && !window.underWay.includes(words)) window.underWay.push(words);
  }
}).observe(document, {childList: true, subtree: true, characterData: true});
"""
UNDER_WAY = re.compile(r"Weighing every hull on every day\.|Round \d of \d at most: ")


def open_week(page: Page, address: str) -> None:
    heading = page.get_by_role("heading", name="This week", level=1)
    arrive(page, address, heading, page.get_by_text(FOOT).last)


def download(page: Page, name: str) -> bytes:
    with page.expect_download() as started:
        page.get_by_role("button", name=name).click()
    return started.value.path().read_bytes()


def test_a_week_is_issued_decided_otherwise_and_taken_along(
    browser: Browser, own: Server, fleet: Path, tmp_path: Path
) -> None:
    with watched(browser, own) as tab:
        page = tab.page
        open_week(page, own.address)
        expect(page.get_by_text("Proven cheapest")).to_be_visible()
        listed = page.locator("table", has_text="Every hull that must not sail")
        out = listed.locator("tr[data-open]", has_text=re.compile(r"out \w+ .*bay \d"))
        expect(out.first).to_be_visible()
        hulls = [row.get_attribute("data-open") for row in out.all()]

        sheets = printed(download(page, "Work sheets").decode("utf-8"), tmp_path)
        pages = texts(sheets)
        desk = texts(printed(download(page, "Changed hires").decode("utf-8"), tmp_path))
        assert any("customer told" in text for text in desk), desk
        for hull in hulls:
            assert any(f"{hull} · " in text for text in pages), hull
        assert len(pages) == len(hulls)  # no layout of the demo has more than three anodes

        at_rest(page, 180_000)
        unfold(page, "Decide otherwise, or issue the plan")
        page.get_by_role("button", name="Issue this plan").click()
        expect(page.get_by_text("Nothing has changed since.")).to_be_visible(timeout=180_000)
        expect(page.get_by_text(re.compile(r"Told to the desk: \d+ not done yet"))).to_be_visible()
        file = Calendar.from_ical(download(page, "Calendar")).walk("VEVENT")
        events = [each for each in file if not str(each["summary"]).startswith("Hire of")]
        assert sorted(str(event["summary"]).split()[0] for event in events) == sorted(hulls)
        assert {str(event["status"]) for event in events} == {"CONFIRMED"}

        choose(page, page.get_by_label("Hull", exact=True), str(hulls[-1]))
        pick(page, "Leave out this week")
        page.get_by_label("Why", exact=True).fill("hired to the regatta")
        page.get_by_role("button", name="Show what would follow").click()
        expect(page.get_by_text("The plan would be expected to cost")).to_be_visible(
            timeout=180_000
        )
        assert read_fleet(fleet).plan_changes.empty  # shown first, written when that is wanted
        page.get_by_role("button", name="Write it down").click()
        expect(page.get_by_text("Since then:")).to_be_visible(timeout=180_000)
        changed = page.locator("table", has_text="What became of it")
        expect(changed).to_contain_text(re.compile(f"{hulls[-1]} was planned for .*; now "))
        expect(page.get_by_text("hired to the regatta").first).to_be_visible()
        assert not tab.wrong
        assert not tab.abroad
    logbook = read_fleet(fleet)
    assert logbook.plan_changes["change"].tolist() == ["skip"]
    assert logbook.plans["plan_id"].nunique() == 1
    assert logbook.plans["day"].notna().sum() >= len(hulls)


WEEK_AHEAD = "2031-07-02"
"""A week that the server does not work out of itself, so that the page waits for it."""


def test_a_link_to_a_week_opens_it_on_a_phone_which_says_how_far_it_is_and_scrolls_no_way_sideways(
    browser: Browser, own: Server
) -> None:
    with watched(browser, own, **PHONE) as tab:
        tab.page.add_init_script(NOTES_WHAT_IS_UNDER_WAY)
        open_week(tab.page, f"{own.address}/?week={WEEK_AHEAD}")
        expect(tab.page.get_by_text("Mon 30 Jun to Sun 6 Jul 2031")).to_be_visible(timeout=180_000)
        noted = tab.page.evaluate("window.underWay")
        assert any(map(UNDER_WAY.match, noted)), noted
        expect(tab.page.get_by_text(UNDER_WAY)).to_have_count(0, timeout=180_000)
        at_rest(tab.page, 180_000)
        for summary in tab.page.locator("[data-testid=stExpander] > details > summary").all():
            summary.click()
        tab.page.wait_for_timeout(1_000)
        assert tab.page.evaluate("document.documentElement.scrollWidth") == 390
        main = tab.page.locator("[data-testid=stMain]")
        assert main.evaluate("main => main.scrollWidth") == 390
        assert not tab.wrong
