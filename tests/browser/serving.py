"""Starting the dashboard for a browser, and watching what goes wrong in it."""

import os
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Locator, Page, TimeoutError, expect

HOUSE = Path(__file__).parents[2]
STARTS_WITHIN_S = 180.0
FOOT = "Decision support; does not certify a vessel fit for hire."
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "is_mobile": True,
    "has_touch": True,
    "device_scale_factor": 2,
}
WRITE = "Write it down"
"""The button of every form of the log book."""
THUMB_MS = 800
"""A thumb takes longer from one press to the next than the page takes for a double tap (700 ms)."""
LATENCY_MS = 200
SLOW_MS = 90_000
"""How long an answer may take on a busy machine."""


AT_REST: dict[tuple[int, str, str], list[BrowserContext]] = {}
"""Emptied browsers, by the program, the server and the kind that they are."""


@dataclass
class Server:
    """A running dashboard: its address and process."""

    address: str
    process: subprocess.Popen[bytes]


def free_port() -> int:
    """Name a port of loopback that nobody listens on now."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@contextmanager
def serving(
    fleet: Path | None = None,
    port: int = 0,
    program: tuple[str, ...] = ("-m", "streamlit"),
    **environment: str,
) -> Iterator[Server]:
    """Start the dashboard, on a free port where none is given, and stop it afterwards."""
    port = port or free_port()
    wanted = {"FLEET_ROOT": tempfile.gettempdir()}
    wanted |= environment if fleet is None else {"FLEET_LOGS": str(fleet)} | environment
    inherited = {name: value for name, value in os.environ.items() if name != "FLEET_LOGS"}
    process = subprocess.Popen(
        [
            *(sys.executable, *program, "run", "app.py"),
            *(f"--server.port={port}", "--server.headless=true"),
        ],
        cwd=HOUSE,
        env=inherited | wanted,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        server = Server(f"http://localhost:{port}", process)
        _wait(server)
        yield server
    finally:
        process.terminate()
        process.wait(timeout=20)


def _wait(server: Server) -> None:
    end = time.monotonic() + STARTS_WITHIN_S
    while time.monotonic() < end:
        if server.process.poll() is not None:
            raise RuntimeError(f"the server ended with code {server.process.returncode}")
        try:
            with urllib.request.urlopen(f"{server.address}/_stcore/health", timeout=2):
                return
        except OSError:
            time.sleep(0.2)
    raise RuntimeError(f"no answer from the server within {STARTS_WITHIN_S:.0f} s")


@dataclass
class Watched:
    """A page, and what went wrong on it: console errors, exceptions, calls to other machines."""

    page: Page
    wrong: list[str] = field(default_factory=list)
    abroad: list[str] = field(default_factory=list)

    def watch(self, address: str) -> None:
        def note(message: object) -> None:
            text = f"{message.text} {message.location['url']}"  # type: ignore[attr-defined]
            # a deep link makes the frontend ask under its own path first, which is not there
            if message.type == "error" and "/_stcore/" not in text:  # type: ignore[attr-defined]
                self.wrong.append(text)

        self.page.on("console", note)
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("request", lambda sent: self._travel(sent.url, address))

    def _travel(self, url: str, address: str) -> None:
        if not url.startswith((address, address.replace("http", "ws"), "data:", "blob:")):
            self.abroad.append(url)


@contextmanager
def watched(browser: Browser, server: Server, **how: object) -> Iterator[Watched]:
    """Open a tab that watches itself, in a browser that nobody has used.

    One that a test is done with is emptied and used again where it can be: the frontend that it has
    loaded, two seconds of work, stays in its store.
    """
    usual = {"viewport": {"width": 1440, "height": 900}, "timezone_id": "Europe/Lisbon"}
    wanted = usual | how
    at_rest = AT_REST.setdefault((id(browser), server.address, repr(sorted(wanted.items()))), [])
    context = at_rest.pop() if at_rest else browser.new_context(**wanted)  # type: ignore[arg-type]
    tab = Watched(context.new_page())
    tab.watch(server.address)
    yield tab
    if is_emptied(context, server.address):
        at_rest.append(context)
    else:
        context.close()


def is_emptied(context: BrowserContext, address: str) -> bool:
    """Take away what a visitor leaves: pages, cookies, stored values; false where none is open."""
    ours = next((page for page in context.pages if page.url.startswith(f"{address}/")), None)
    if ours is None:
        return False
    ours.evaluate("localStorage.clear()")
    for page in context.pages:
        page.close()
    context.clear_cookies()
    context.clear_permissions()
    context.unroute_all()
    context.set_offline(False)
    return True


def slow_line(page: Page) -> None:
    """Give a page the line of a phone on a pontoon."""
    line = page.context.new_cdp_session(page)
    line.send("Network.enable")
    line.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": LATENCY_MS, "downloadThroughput": -1, "uploadThroughput": -1},
    )


def arrive(page: Page, address: str, *awaited: Locator) -> None:
    """Open an address and wait for what makes it whole; for the foot where nothing is named."""
    page.goto(address)
    for each in awaited or (page.get_by_text(FOOT).last,):
        expect(each).to_be_visible(timeout=SLOW_MS)


def at_rest(page: Page, within_ms: int = 5_000) -> None:
    """Wait until nothing on the page is worked out any more: what moves is not pressed."""
    resting = page.locator("[data-test-script-state=notRunning]").first
    expect(resting).to_be_attached(timeout=within_ms)


STOOD_STILL = """(fold) => new Promise((done) => {
  let last = "", since = performance.now();
  const look = () => {
    const now = [...fold.querySelectorAll("*")]
      .map((part) => Math.round(part.getBoundingClientRect().top + scrollY)).join();
    if (now !== last) { last = now; since = performance.now(); }
    if (performance.now() - since > 400) done(); else requestAnimationFrame(look);
  };
  look();
})"""


def unfold(page: Page, words: str) -> None:
    """Open what is folded away and wait until it lies where it will lie: it unrolls, and a press
    meanwhile goes down on a button and comes up beside it.
    """
    page.get_by_text(words).click()
    fold = page.locator("details", has=page.get_by_text(words)).last
    expect(fold).to_have_attribute("open", "")
    fold.evaluate(STOOD_STILL)


def pick(page: Page, name: str) -> None:
    """Press one of several choices until it is taken: a rerun that comes between the thumb's going
    down and its coming up draws the choices anew, and the press is lost to a person too.
    """
    choice = page.get_by_role("radio", name=name, exact=True).first
    for attempt in range(4):
        at_rest(page, SLOW_MS)
        if not choice.is_checked():
            choice.click()
        try:
            expect(choice).to_be_checked(timeout=10_000)
            return
        except AssertionError:
            if attempt == 3:
                raise


def choose(page: Page, field: Locator, option: str) -> None:
    """Type into a list's field and take the option.

    A rerun that is still under way closes the list again, as it does to a person, who types anew.
    """
    for attempt in range(6):
        at_rest(page)
        field.fill(option)
        try:
            page.get_by_role("option", name=option, exact=True).click(timeout=10_000)
            return
        except TimeoutError:
            if attempt == 5:
                raise
