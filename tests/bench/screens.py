"""How soon *This week* is there, how long and open the pages are: `python -m tests.bench.screens`.

Numbers behind it are sizes of fleets; 0 is the demo fleet, others are made by `wide_fleet`. For
each a server is started and looked at with a real Chromium, with the tests' own eyes and limits.
A fleet of hundreds takes minutes until every page was worked out once: the tests hold those of its
pages that list hulls.

*There* is the answer in its sentence and a hull to press, from the moment that the address is
asked for: in a browser that never was here, and in one that has the scripts. A rerun is the
server's share of one press, in a process of its own; what the processor gave to it stands beside
the clock, since others use the machine.
"""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.bench.wide_fleet import hull_name, write_wide_fleet
from tests.browser.conftest import CHROMIUM
from tests.browser.serving import FOOT, HOUSE, PHONE, Server, serving
from tests.browser.test_dashboard import ANSWER
from tests.browser.test_length_and_access import (
    DESK,
    MOST_OF_THE_WEEK,
    MOST_SCREENS,
    PAGES,
    grave_findings,
    screens_of,
)

PAGES_OF_A_FLEET = tuple(path for path in PAGES if path != "open_fleet")
"""A server that is given its fleet opens no other."""
TIMES = 7
PATIENT_MS = 600_000
PAINT_S, RERUN_S = 1.5, 0.15
"""What is to be reached, warm, on two cores."""


def main(words: list[str]) -> int:
    """Measure each fleet and print two tables."""
    sizes = [int(word) for word in words] or [0]
    soon, long = [], []
    with TemporaryDirectory() as made, sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=str(CHROMIUM))
        for hulls in sizes:
            fleet = write_wide_fleet(Path(made) / str(hulls), hulls) if hulls else None
            name = f"{hulls} hulls" if hulls else "demo, 40 hulls"
            with serving(fleet) as server:
                soon.append(f"| {name} | {' | '.join(_soon(chromium, server))} |")
                long += _lengths(chromium, server, name, hull_name(7) if hulls else "H07")
            clock, processor = _rerun(fleet)
            soon[-1] += f" {clock:.3f} ({processor:.3f}) |"
        chromium.close()
    print(
        f"*This week*, median of {TIMES}, s; {os.getloadavg()[0]:.0f} processes waited for two "
        f"cores. To reach: there in {PAINT_S} s, a rerun in {RERUN_S} s.\n\n"
        "| fleet | first visit to a server just started | browser that never was here "
        "| browser that was | rerun, clock (processor) |\n|---|---|---|---|---|"
    )
    print("\n".join(soon))
    print(
        "\nScreens, and findings of axe that are serious or critical.\n\n"
        "| fleet | page | 1440 x 900 | at most | 390 x 844 | at most | axe, both |\n"
        "|---|---|---|---|---|---|---|"
    )
    print("\n".join(long))
    return 0


def _soon(chromium: Browser, server: Server) -> list[str]:
    """Seconds until the answer is there: cold, in new browsers, and on coming back."""
    cold = _there(chromium, server, 1)[0]
    fresh = [_there(chromium, server, 1)[0] for _ in range(TIMES)]
    back = _there(chromium, server, TIMES + 1)[1:]
    return [f"{cold:.2f}", f"{statistics.median(fresh):.2f}", f"{statistics.median(back):.2f}"]


def _there(chromium: Browser, server: Server, visits: int) -> list[float]:
    context = chromium.new_context(**DESK)  # type: ignore[arg-type]
    page, taken = context.new_page(), []
    for _ in range(visits):
        start = time.perf_counter()
        page.goto(server.address, wait_until="commit", timeout=PATIENT_MS)
        expect(page.locator(f"{ANSWER} p").first).to_be_visible(timeout=PATIENT_MS)
        expect(page.locator("tr[data-open]:visible").first).to_be_visible(timeout=PATIENT_MS)
        taken.append(time.perf_counter() - start)
        expect(page.get_by_text(FOOT)).to_be_visible(timeout=PATIENT_MS)
    context.close()
    return taken


def _lengths(chromium: Browser, server: Server, name: str, hull: str) -> list[str]:
    """One row a page: its screens on both devices, and what axe finds on both."""
    desk = chromium.new_context(**DESK).new_page()  # type: ignore[arg-type]
    phone = chromium.new_context(**PHONE).new_page()  # type: ignore[arg-type]
    rows = []
    for path in PAGES if name.startswith("demo") else PAGES_OF_A_FLEET:
        address = f"{server.address}/{path.replace('H07', hull)}"
        screens = {form: _screens(page, address) for form, page in _forms(desk, phone)}
        grave = sum(len(grave_findings(page)) for _, page in _forms(desk, phone))
        most = MOST_SCREENS if path else MOST_OF_THE_WEEK
        cells = [
            f"{screens[form]:.2f}{'' if screens[form] <= most[form] else ' over'} | {most[form]}"
            for form in screens
        ]
        rows.append(f"| {name} | {path or 'this_week'} | {' | '.join(cells)} | {grave} |")
    return rows


def _forms(desk: Page, phone: Page) -> tuple[tuple[str, Page], ...]:
    return ("desk", desk), ("phone", phone)


def _screens(page: Page, address: str) -> float:
    page.goto(address, timeout=PATIENT_MS)
    expect(page.get_by_text(FOOT)).to_be_visible(timeout=PATIENT_MS)
    page.wait_for_timeout(1_500)  # pictures settle into their height
    return screens_of(page)


def _rerun(fleet: Path | None) -> tuple[float, float]:
    """Least seconds of a warm rerun of the front page, by the clock and by the processor."""
    from streamlit.testing.v1 import AppTest

    if fleet is not None:
        os.environ["FLEET_LOGS"] = str(fleet)
    try:
        app = AppTest.from_file(str(HOUSE / "app.py"), default_timeout=600)
        app.run()
        taken = [_taken(app.run) for _ in range(15)]
    finally:
        os.environ.pop("FLEET_LOGS", None)
    return min(clock for clock, _ in taken), min(processor for _, processor in taken)


def _taken(action: Callable[[], object]) -> tuple[float, float]:
    clock, processor = time.perf_counter(), time.process_time()
    action()
    return time.perf_counter() - clock, time.process_time() - processor


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.bench.screens", main))
