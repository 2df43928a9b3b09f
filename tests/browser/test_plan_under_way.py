"""A wide plan takes seconds: whoever waits for it reads how far it is, and the words go with it."""

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.serving import Server, serving, watched
from tests.known_truth.simulator import simulate, write
from tests.known_truth.simulator.plans import STANDARD

PATIENCE_MS = 180_000  # the fit of so many hulls on a busy machine


@pytest.fixture(scope="module")
def wide(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    fleet = simulate("standard", 71, replace(STANDARD, hulls=120, days=100))
    with serving(write(fleet, tmp_path_factory.mktemp("wide"))) as running:
        yield running


def test_whoever_waits_for_a_wide_plan_reads_how_far_it_is(browser: Browser, wide: Server) -> None:
    with watched(browser, wide) as tab:
        tab.page.goto(wide.address)
        far = tab.page.get_by_text(re.compile(r"Round \d of \d at most: "))
        expect(far).to_be_visible(timeout=PATIENCE_MS)
        sure = tab.page.get_by_text(re.compile("cheapest.* under your rules"))
        expect(sure.first).to_be_visible(timeout=PATIENCE_MS)
        expect(far).to_have_count(0)
