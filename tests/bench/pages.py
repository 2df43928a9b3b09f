"""Each page on fleets of growing size: how long the server takes to draw it, first and again.

Each fleet is one of `tests.bench.wide_fleet`, each size in a process of its own. The fleet and the
week's plan are worked out first, as a server does before anybody comes; then every page is opened
without a browser, and once more as it is. What a page asks besides is in its first opening. Seconds
are of the clock.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path

from tests.bench.clock import HOUSE
from tests.bench.wide_fleet import write_wide_fleet

SIZES = (40, 400, 1_000, 4_000)
LONGEST_S = 900


def measure(folder: Path) -> dict[str, tuple[float, ...]]:
    """Open every page twice: s of each opening, by page."""
    os.environ["FLEET_LOGS"] = str(folder)
    from streamlit.components.v2 import manifest_scanner
    from streamlit.testing.v1 import AppTest

    from pages._shared import cached_answers, session
    from pages._shared.caching import key_of
    from tests.pages.conftest import PAGES

    # the harness seeks components in every installed package at each opening, a server once
    scan = manifest_scanner.scan_component_manifests
    manifest_scanner.scan_component_manifests = cache(scan)  # type: ignore[assignment]
    taken: dict[str, tuple[float, ...]] = {}

    def timed(name: str, *actions: Callable[[], object]) -> None:
        moments = [time.perf_counter()]
        for action in actions:
            action()
            moments.append(time.perf_counter())
        taken[name] = tuple(after - before for before, after in pairwise(moments))

    key = key_of(session.View(folder, None, session.HORIZONS[0]))
    timed("the fleet worked out", lambda: cached_answers.appraisal.of(key))
    timed("the week's plan", lambda: cached_answers.week.of(key, None))
    hull = str(cached_answers.appraisal.of(key).forecast.hulls["hull_id"].iloc[0])
    for name, script in PAGES.items():
        app = AppTest.from_file(str(HOUSE / script), default_timeout=LONGEST_S)
        app.session_state["browser"] = "the same browser"
        if name == "hull":
            app.query_params["hull"] = hull
        timed(name, app.run, app.run)
        if app.exception:
            raise RuntimeError(f"{name}: {app.exception[0].value}")
    return taken


def main(words: list[str]) -> int:
    """Measure the sizes asked for (all when none is) and print the table."""
    columns: dict[str, dict[str, list[float]]] = {}
    for size in [int(word) for word in words] or SIZES:
        with tempfile.TemporaryDirectory() as folder:
            write_wide_fleet(Path(folder), size)
            ran = subprocess.run(
                [sys.executable, "-m", "tests.bench.pages", "--one", folder],
                cwd=HOUSE, check=True, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
            )  # fmt: skip
            columns[f"{size:,} hulls"] = json.loads(ran.stdout.splitlines()[-1])
    rows = [f"| | {' | '.join(columns)} |", "|---" * (len(columns) + 1) + "|"]
    for name in next(iter(columns.values())):
        cells = [_cell(column[name]) for column in columns.values()]
        rows.append(f"| {name} | {' | '.join(cells)} |")
    print("Seconds of the clock, the first opening (the next).\n")
    print("\n".join(rows))
    return 0


def _cell(taken: list[float]) -> str:
    first, *again = taken
    return f"{first:.2f}" + "".join(f" ({each:.2f})" for each in again)


if __name__ == "__main__":
    from tests.results import recorded

    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(measure(Path(sys.argv[2]))))
    else:
        sys.exit(recorded("tests.bench.pages", main))
