"""On 400 hulls the pages that list hulls are as short, and as open to everybody, as on forty."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.bench.wide_fleet import hull_name, write_wide_fleet
from tests.browser.serving import PHONE, Server, serving, watched
from tests.browser.test_length_and_access import (
    DESK,
    MOST_OF_THE_WEEK,
    MOST_SCREENS,
    grave_findings,
    open_page,
    screens_of,
)

HULLS = 400
PAGES = ("", "fleet", f"hull?hull={hull_name(7)}", "looks", "log_check", "registers", "parts")
"""Those whose rows are hulls, or anodes of all hulls: what else grows with a fleet is summed."""


@pytest.fixture(scope="module")
def wide(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with serving(write_wide_fleet(tmp_path_factory.mktemp("wide") / "fleet", HULLS)) as server:
        yield server


@pytest.fixture(scope="module")
def devices(browser: Browser, wide: Server) -> Iterator[dict[str, Page]]:
    with watched(browser, wide, **DESK) as desk, watched(browser, wide, **PHONE) as phone:
        yield {"desk": desk.page, "phone": phone.page}
        assert not desk.wrong
        assert not phone.wrong


@pytest.mark.parametrize("path", PAGES)
def test_a_page_of_400_hulls_is_short_and_open_to_everybody(
    devices: dict[str, Page], wide: Server, path: str
) -> None:
    for form, page in devices.items():
        open_page(page, wide, path)
        most = MOST_SCREENS[form] if path else MOST_OF_THE_WEEK[form]
        assert screens_of(page) <= most, form
        assert not grave_findings(page)
