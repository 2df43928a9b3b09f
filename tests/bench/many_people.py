"""Many people at once on one server: `python -m tests.bench.many_people [HULLS] [PEOPLE]`.

A fleet of HULLS (400; 0: the demo) is served; PEOPLE (20) come at the same moment to a server that
has worked nothing out, each over a websocket of their own (`websocket_visitor`), then all turn
pages at the same time, each with a hull and a horizon of their own: in haste, with a second or so
between two pages, then with the few seconds that reading one takes. Then one writes an entry and
the others look again. In the table: how long a switch of pages took, the server's memory, how often
the fleet was worked out for one state of its logs, whose choices were seen by somebody else, and
who did not see the entry.
"""

from __future__ import annotations

import os
import random
import shutil
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

import numpy as np

from corrosion.records import read_fleet
from pages._shared.session import DEMO, HORIZONS
from tests.bench.websocket_visitor import Visitor
from tests.bench.wide_fleet import write_wide_fleet
from tests.browser.serving import WRITE, serving

AIM_S = 1.0
LOOKS = 12
"""Pages that each turns to, once everything has been worked out."""
HASTE_S, READS_S = (0.5, 2.5), (3.0, 9.0)
TURNED = ("", "fleet", "hull", "looks", "parts", "costs", "moorings", "habits", "log_book")
Given = TypeVar("Given")


@dataclass
class Outcome:
    """What was measured; s and MiB."""

    first_s: list[float] = field(default_factory=list)
    haste_s: list[float] = field(default_factory=list)
    reading_s: list[float] = field(default_factory=list)
    by_page: dict[str, list[float]] = field(default_factory=dict)
    worked_out: int = 0
    after_entry: int = 0
    others_choices: list[str] = field(default_factory=list)
    missed_entry: int = 0
    entry_s: list[float] = field(default_factory=list)
    before_mib: float = 0.0
    after_mib: float = 0.0


def at_once(people: Sequence[Visitor], does: Callable[[int, Visitor], Given]) -> list[Given]:
    """Everybody does something at the same time."""
    with ThreadPoolExecutor(len(people)) as hands:
        return list(hands.map(does, range(len(people)), people))


def measured(
    fleet: Path,
    people: int,
    looks: int,
    haste_s: tuple[float, float] = HASTE_S,
    reads_s: tuple[float, float] = READS_S,
    turned: Sequence[str] = TURNED,
) -> Outcome:
    """Let people use one server; the fleet is written to."""
    made, hulls = Outcome(), sorted(read_fleet(fleet).hulls["hull_id"])
    with TemporaryDirectory() as spare:
        notes = Path(spare) / "worked_out"
        counted = ("-m", "tests.bench.counted_server")
        with serving(fleet, program=counted, COUNTED=str(notes)) as server:
            visitors = [Visitor(server.address) for _ in range(people)]
            try:
                made.first_s = at_once(visitors, lambda _, one: one.open(""))
                made.worked_out = max(Counter(notes.read_text().splitlines()).values())
                for page in turned:  # whoever comes first waits for the page's own answer
                    for days in HORIZONS[:people]:
                        visitors[0].open(page, f"days={days}&hull={hulls[0]}")
                made.before_mib = _memory_mib(server.process.pid)
                for pause_s, took in ((haste_s, made.haste_s), (reads_s, made.reading_s)):
                    for seen in at_once(
                        visitors,
                        lambda at, one, pause_s=pause_s: _turns(
                            made, at, one, hulls, looks, pause_s, turned
                        ),
                    ):
                        took += seen
                made.after_mib = _memory_mib(server.process.pid)
                _one_writes(made, visitors, hulls, notes, fleet)
            finally:
                for one in visitors:
                    one.leave()
    return made


def _turns(
    made: Outcome,
    at: int,
    one: Visitor,
    hulls: list[str],
    looks: int,
    pause_s: tuple[float, float],
    turned: Sequence[str],
) -> list[float]:
    """One of the people turns pages, and looks whether the choices on them are their own."""
    chance, days = random.Random(at), HORIZONS[at % len(HORIZONS)]
    own, every = hulls[at % len(hulls)], []
    for _ in range(looks):
        time.sleep(chance.uniform(*pause_s))
        page = chance.choice(turned)
        took = one.open(page, f"days={days}&hull={own}")
        every.append(took)
        made.by_page.setdefault(page or "this_week", []).append(took)
        if page == "hull" and (shown := _hull_shown(one)) != own:
            made.others_choices.append(f"{own}: {shown}")
    return every


def _hull_shown(one: Visitor) -> str:
    """The hull that the page's own field stands at."""
    for each in one.seen:
        if each.HasField("delta") and each.delta.new_element.WhichOneof("type") == "selectbox":
            box = each.delta.new_element.selectbox
            if box.label == "Hull":
                return str(box.raw_value if box.set_value else "none chosen")
    return "no field for it"


def _one_writes(
    made: Outcome, visitors: list[Visitor], hulls: list[str], notes: Path, fleet: Path
) -> None:
    """One presses the button of a form; at their next look the others have the entry."""
    before = Counter(notes.read_text().splitlines())
    names = set(read_fleet(fleet).flushes["entry_id"])
    visitors[0].open("log_book", f"kind=flush&hull={hulls[0]}")
    visitors[0].press(WRITE)
    others = visitors[1:]
    names = set(read_fleet(fleet).flushes["entry_id"]) - names
    assert len(names) == 1, f"one press wrote {len(names)} rows"
    (name,) = names
    seen = at_once(others, lambda _, one: _sees_entry(one, name))
    made.missed_entry = seen.count(False)
    made.entry_s = at_once(visitors, lambda _, one: one.open(""))
    after = Counter(notes.read_text().splitlines()) - before
    made.after_entry = max(after.values(), default=0)


def _sees_entry(one: Visitor, name: str) -> bool:
    """Among the entries written down last each has a button that bears its name."""
    one.open("log_book", "kind=outing")
    return name in one.text


def _memory_mib(process: int) -> float:
    """Most memory that a process ever held."""
    for line in Path(f"/proc/{process}/status").read_text().splitlines():
        if line.startswith("VmHWM"):
            return int(line.split()[1]) / 1024.0
    raise LookupError("the system does not say how much memory a process holds")


def main(words: list[str]) -> int:
    """Measure and print the table."""
    hulls, people = (int(word) for word in [*words, "400", "20"][:2])
    with TemporaryDirectory() as spare:
        fleet = Path(spare) / "fleet"
        if hulls:
            write_wide_fleet(fleet, hulls)
        else:
            shutil.copytree(DEMO, fleet)
        made = measured(fleet, people, LOOKS)
    print(_table(made, hulls, people))
    return 0


def _table(made: Outcome, hulls: int, people: int) -> str:
    haste, reading = (np.percentile(each, [50, 95]) for each in (made.haste_s, made.reading_s))
    slowest = max(made.by_page, key=lambda page: float(np.median(made.by_page[page])))
    rows = [
        ("first page, all at once, nothing worked out: last, s", f"{max(made.first_s):.1f}"),
        ("the fleet worked out for them, times", f"{made.worked_out}"),
        (f"switch of page, 95 % under (median), s, {READS_S[0]:.0f} to {READS_S[1]:.0f} s "
         f"between two (aim {AIM_S:.0f})", f"{reading[1]:.2f} ({reading[0]:.2f})"),
        (f"the same in haste, {HASTE_S[0]:.1f} to {HASTE_S[1]:.1f} s between two",
         f"{haste[1]:.2f} ({haste[0]:.2f})"),
        (f"slowest page ({slowest}), median, s", f"{np.median(made.by_page[slowest]):.2f}"),
        ("most memory of the server before and after turning pages, MiB",
         f"{made.before_mib:.0f}, {made.after_mib:.0f}"),
        ("others' choices seen", f"{len(made.others_choices)}"),
        ("people who did not have an entry at their next look", f"{made.missed_entry}"),
        ("the fleet worked out after the entry, times", f"{made.after_entry}"),
        ("this week after the entry, all at once: last of them, s", f"{max(made.entry_s):.1f}"),
    ]  # fmt: skip
    name = f"{hulls} hulls" if hulls else "demo, 40 hulls"
    head = (
        f"{people} people, {name}, {len(made.haste_s + made.reading_s)} switches; at the end "
        f"{os.getloadavg()[0]:.0f} processes waited for {os.cpu_count()} cores.\n\n| | |\n|---|---|"
    )
    return "\n".join([head, *(f"| {what} | {value} |" for what, value in rows)])


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.bench.many_people", main))
