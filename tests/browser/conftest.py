"""A real server and a real Chromium; each test gets a page that notes whatever goes wrong."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright, expect, sync_playwright

from tests.browser.serving import PHONE, Server, Watched, serving, watched

HERE = Path(__file__).parent
CHROMIUM = Path("/usr/bin/chromium")

expect.set_options(timeout=20_000)  # ms; a first answer is read, fitted and drawn


HELD_UP = pytest.mark.flaky(reruns=1, only_rerun=["^TimeoutError"])
"""What a busy machine held up is asked once more, and counted in the summary; what a page shows
wrongly is an `AssertionError`, and fails at once."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark these tests; without a browser they are skipped, except where CI promises one."""
    missing = not CHROMIUM.exists() and not os.environ.get("CI")
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.browser)
            item.add_marker(HELD_UP)
            if missing:
                item.add_marker(pytest.mark.skip(reason=f"no browser at {CHROMIUM}"))


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="session")
def browser(playwright: Playwright) -> Iterator[Browser]:
    chromium = playwright.chromium.launch(executable_path=str(CHROMIUM))
    yield chromium
    chromium.close()


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    with serving() as running:
        yield running


@pytest.fixture
def tab(browser: Browser, server: Server) -> Iterator[Watched]:
    with watched(browser, server) as opened:
        yield opened


@pytest.fixture
def phone(browser: Browser, server: Server) -> Iterator[Watched]:
    with watched(browser, server, **PHONE) as opened:
        yield opened
