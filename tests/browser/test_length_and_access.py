"""Every page is short enough to be looked at, and nobody is kept out of it.

Lengths are in screens: how often the visitor's screen goes into the page. Access is what axe-core
finds serious or critical (Deque, rules for WCAG 2.2 A and AA), on a desk and on a phone, light and
dark, as the page stands when it has been opened.
"""

from collections.abc import Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.browser.serving import PHONE, SLOW_MS, Server, arrive, at_rest, watched

PAGES = (
    *("fleet", "hull?hull=H07", "parts", "costs", "moorings", "flushing", "habits"),
    *("chemistry", "track_record", "", "looks", "log_check", "log_book", "registers"),
    *("import_export", "open_fleet"),
)
DESK = {"viewport": {"width": 1440, "height": 900}}
MOST_SCREENS = {"desk": 4.0, "phone": 9.0}
MOST_OF_THE_WEEK = {"desk": 2.5, "phone": 7.0}
FRAMEWORKS_OWN: dict[str, str] = {}
"""Rules that the framework's own markup breaks, each with the reason why it cannot be mended."""


@pytest.fixture(scope="module", params=["desk", "phone"])
def form(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def opened(browser: Browser, server: Server, form: str) -> Iterator[Page]:
    with watched(browser, server, **(DESK if form == "desk" else PHONE)) as tab:
        yield tab.page


def open_page(page: Page, server: Server, path: str) -> None:
    """Open a page and wait until it stands as a visitor who came will see it."""
    arrive(page, f"{server.address}/{path}")
    at_rest(page, SLOW_MS)  # what is worked out anew is pale until it is there
    expect(page.locator(".skip")).to_be_attached()  # the page's own mending of the navigation ran
    page.wait_for_timeout(1_000)  # pictures settle into their height


def screens_of(page: Page) -> float:
    """Return how many of the visitor's screens the page is long."""
    main = page.locator("[data-testid=stMain]")
    return float(main.evaluate("main => main.scrollHeight / main.clientHeight"))


def grave_findings(page: Page) -> dict[str, list[str]]:
    """Return what axe finds serious or critical, by rule, with the first places of each."""
    return {
        rule["id"]: [node["html"][:160] for node in rule["nodes"][:4]]
        for rule in Axe().run(page).response["violations"]
        if rule["impact"] in ("serious", "critical") and rule["id"] not in FRAMEWORKS_OWN
    }


@pytest.mark.parametrize("path", PAGES)
def test_a_page_is_short_and_open_to_everybody(
    opened: Page, server: Server, form: str, path: str
) -> None:
    open_page(opened, server, path)
    most = MOST_SCREENS[form] if path else MOST_OF_THE_WEEK[form]
    assert screens_of(opened) <= most, path
    if not path:
        picture = "wide" if form == "desk" else "narrow"
        expect(opened.locator("svg.week:visible")).to_have_class(f"week {picture}")
    assert not grave_findings(opened)


def test_the_first_press_of_tab_offers_to_skip_to_the_answer(
    browser: Browser, server: Server
) -> None:
    with watched(browser, server, **DESK) as tab:
        open_page(tab.page, server, "fleet")
        skip = tab.page.get_by_role("link", name="Skip to the answer")
        # on a busy machine the page's script comes seconds after the answer
        expect(skip).to_be_attached(timeout=60_000)
        tab.page.keyboard.press("Tab")
        expect(skip).to_be_focused()
        skip.press("Enter")
        heading = tab.page.get_by_role("heading", name="Fleet", level=1)
        expect(heading).to_be_focused()


def test_another_page_begins_at_its_heading(browser: Browser, server: Server) -> None:
    with watched(browser, server, **DESK) as tab:
        open_page(tab.page, server, "fleet")
        tab.page.get_by_role("link", name="Parts").click()
        heading = tab.page.get_by_role("heading", name="Parts", level=1)
        expect(heading).to_be_focused(timeout=60_000)
