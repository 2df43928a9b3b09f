"""People sign in at a real provider, and each may what their role says, on direct addresses too."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from corrosion.records import read_fleet
from tests.browser.provider import CLIENT, SECRET, Provider, providing
from tests.browser.serving import (
    SLOW_MS,
    THUMB_MS,
    WRITE,
    Server,
    Watched,
    at_rest,
    free_port,
    serving,
)
from tests.fleets import FleetLogs

PRESSED_MS = 20_000
LISTED = {"office": "manage", "dock": "log", "owner": "look", "forged": "manage"}
SIGN_IN = "This fleet is for people whom its keeper has given a role."


@dataclass
class Guarded:
    """A dashboard behind a sign-in: its address, its fleet, its list of roles, its provider."""

    address: str
    fleet: Path
    roles: Path
    provider: Provider

    def give(self, **roles: str) -> None:
        lines = [f'"{name}@boats.example" = "{role}"' for name, role in roles.items()]
        self.roles.write_text("\n".join(["[roles]", *lines]), encoding="utf-8")


@pytest.fixture(scope="module")
def guarded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Guarded]:
    folder = tmp_path_factory.mktemp("guarded")
    logs = FleetLogs().setting(name="Ferry Steps", timezone="Europe/Lisbon").mooring("E", "salt")
    logs.position("pencil").hull("H1").berth("H1", "E", since="2025-04-01")
    logs.fitting("H1", "pencil", "2025-04-01")
    fleet = logs.season("H1", "2025-04-02", 5).write(folder / "fleet")
    port = free_port()
    redirect = f"http://localhost:{port}/oauth2callback"
    with providing(redirect, unverified=("forged@boats.example",)) as provider:
        auth = {
            "redirect_uri": redirect,
            "cookie_secret": "a secret of this test alone, long enough",
            "client_id": CLIENT,
            "client_secret": SECRET,
            "server_metadata_url": provider.metadata,
        }
        secrets = folder / "secrets.toml"
        lines = [f"{name} = {json.dumps(value)}" for name, value in auth.items()]
        secrets.write_text("\n".join(["[auth]", *lines]), encoding="utf-8")
        files = {"STREAMLIT_SECRETS_FILES": str(secrets), "FLEET_ROLES": str(folder / "roles.toml")}
        with serving(fleet, port, **files) as server:
            made = Guarded(server.address, fleet, folder / "roles.toml", provider)
            made.give(**LISTED)
            yield made


@pytest.fixture
def page(browser: Browser, guarded: Guarded) -> Iterator[Page]:
    guarded.give(**LISTED)
    context = browser.new_context(timezone_id="Europe/Lisbon")
    opened = context.new_page()
    opened.set_default_timeout(SLOW_MS)
    yield opened
    context.close()


def sign_in(page: Page, guarded: Guarded, name: str, address: str = "") -> None:
    email = page.get_by_label("Email")
    for _ in range(4):  # a rerun between the thumb's going down and coming up loses the press
        page.goto(f"{guarded.address}/{address}")
        at_rest(page, SLOW_MS)
        page.get_by_role("button", name="Sign in").click()
        with suppress(PlaywrightTimeout):
            email.wait_for(timeout=PRESSED_MS)
            break
    email.fill(f"{name}@boats.example")
    page.get_by_role("button", name="Go on").click()
    page.wait_for_url(f"{guarded.address}/**")


def sees(page: Page, text: str) -> None:
    expect(page.get_by_text(text).first).to_be_visible(timeout=SLOW_MS)


def test_nobody_sees_anything_before_they_sign_in_and_strangers_not_after(
    page: Page, guarded: Guarded
) -> None:
    for address in ("", "registers", "log_book?hull=H1", "hull?hull=H1"):
        page.goto(f"{guarded.address}/{address}")
        sees(page, SIGN_IN)
        assert "H1" not in page.inner_text("body")
        assert "Ferry Steps" not in page.inner_text("body")
    given = guarded.provider.tokens_given
    for name in ("stranger", "forged"):  # the second is listed, with an email nobody has verified
        sign_in(page, guarded, name)
        sees(page, "this server gives you no role now")
        assert "Ferry Steps" not in page.inner_text("body")
        page.get_by_role("button", name="Sign out").click()
        sees(page, SIGN_IN)
    assert guarded.provider.tokens_given == given + 2


def test_who_looks_reaches_no_page_that_writes(page: Page, guarded: Guarded) -> None:
    sign_in(page, guarded, "owner")
    sees(page, "role look")
    sees(page, "Ferry Steps")
    for address, role in (
        ("log_book?kind=flush&hull=H1", "log"),
        ("registers", "manage"),
        ("import_export", "manage"),
    ):
        page.goto(f"{guarded.address}/{address}")
        sees(page, f"This page is for the role {role}; yours is look")
        expect(page.get_by_role("button", name=WRITE)).to_have_count(0)


def test_the_dock_writes_until_the_role_is_taken_away(page: Page, guarded: Guarded) -> None:
    sign_in(page, guarded, "dock", "log_book?kind=flush&hull=H1")
    sees(page, "role log")
    page.wait_for_url("**/log_book?kind=flush&hull=H1")  # as it was asked for before the sign-in
    before = len(read_fleet(guarded.fleet).flushes)
    page.get_by_role("button", name=WRITE).click()
    expect(page.get_by_role("button", name="Write another: flush")).to_be_visible(timeout=SLOW_MS)
    rows = read_fleet(guarded.fleet).flushes
    assert len(rows) == before + 1
    assert "@" not in rows["entered_by"].iloc[-1]
    page.wait_for_timeout(THUMB_MS)
    page.get_by_role("button", name="Write another: flush").click()
    expect(page.get_by_role("button", name=WRITE)).to_be_visible(timeout=SLOW_MS)
    guarded.give(**LISTED | {"dock": "look"})  # while the form stands on the screen
    page.wait_for_timeout(THUMB_MS)
    page.get_by_role("button", name=WRITE).click()
    sees(page, "This page is for the role log; yours is look")
    assert len(read_fleet(guarded.fleet).flushes) == before + 1


def test_the_office_changes_the_registers_and_a_list_that_is_damaged_shuts_the_door(
    page: Page, guarded: Guarded
) -> None:
    sign_in(page, guarded, "office", "registers?register=settings")
    page.get_by_label("Name of the fleet").fill("Ferry Steps and Co")
    page.get_by_role("button", name="Write the settings").click()
    sees(page, "Settings written")
    assert 'name = "Ferry Steps and Co"' in (guarded.fleet / "fleet.toml").read_text()
    page.goto(f"{guarded.address}/import_export")
    sees(page, "A file of more than 20 MB is not taken here")
    size = 21 * 2**20
    large = {
        "name": "years.csv",
        "mimeType": "text/csv",
        "buffer": b"Boat,Anode,Date\n" * (size // 16),
    }
    page.locator("input[type=file]").set_input_files(large)
    sees(page, "or smaller")  # the framework marks the file itself
    sees(page, "split it, or bring it in with the command")
    expect(page.get_by_role("button", name="Take these rows")).to_have_count(0)
    guarded.roles.write_text("[roles\n", encoding="utf-8")
    page.goto(f"{guarded.address}/registers")
    sees(page, "this server gives you no role now")


def test_without_a_provider_the_start_page_says_who_may_write(tab: Watched, server: Server) -> None:
    tab.page.goto(f"{server.address}/open_fleet")
    sees(tab.page, "this server answers this computer alone, and whoever reaches it may write")
    assert tab.wrong == []
