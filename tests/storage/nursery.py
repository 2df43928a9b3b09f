"""Real processes that write, read, join and are killed; started from one that has all imported.

    python -m tests.storage.nursery crowd FOLDER NOTES
    python -m tests.storage.nursery killed FOLDER NOTES KILLS SEED

The first process imports the program and forks the others, so that a process costs milliseconds.
Every writer notes an entry's id in the file NOTES before it writes (`sent ID`) and after the
program has told it that the row is there (`kept ID`), as a screen would tell a person.
"""

from __future__ import annotations

import os
import random
import signal
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path

import pandas as pd

from corrosion.records import operator
from corrosion.records.logbook import append, read_fleet
from corrosion.records.logbook.compacting import compact

WRITERS, ROWS_EACH, READERS = 8, 40, 2
LONGEST_LIFE = 10  # of a process that is killed, in appends of a process left alone


def note(notes: Path, word: str, entry_id: str) -> None:
    """One line, written by one system call, so that lines of many processes do not mix."""
    handle = os.open(notes, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.write(handle, f"{word} {entry_id}\n".encode())
    os.close(handle)


def write_rows(folder: Path, notes: Path, who: str, count: int) -> None:
    for number in range(count):
        entry_id = f"{who}-{number}"
        note(notes, "sent", entry_id)
        append(folder, "readings", reading(entry_id, number), by=operator("test"))
        note(notes, "kept", entry_id)


def reading(entry_id: str, number: int) -> pd.DataFrame:
    row = {"hull_id": "H1", "position": "pencil", "read_at": "2026-05-01T10:00Z"}
    return pd.DataFrame([row | {"size_mm": 9.0 - number / 1000, "entry_id": entry_id}])


def read_until(folder: Path, done: Path) -> None:
    """Read the fleet again and again; a row that was seen once is never missed later."""
    seen: set[str] = set()
    while not done.exists():
        ids = list(read_fleet(folder).readings["entry_id"])
        assert len(ids) == len(set(ids)), "a row was counted twice"
        assert seen <= set(ids), f"{len(seen - set(ids))} rows that were there are gone"
        seen = set(ids)
        time.sleep(1.0)


def join_until(folder: Path, done: Path) -> None:
    while not done.exists():
        compact(folder, "readings")
        time.sleep(0.6)


def join_for_ever(folder: Path, notes: Path, who: str) -> None:
    """Few rows, then joining: most of its life is spent there."""
    for number in range(10_000):
        write_rows(folder, notes, f"{who}.{number}", 2)
        compact(folder, "readings")


def forked(work: Callable[[], None]) -> int:
    """A process of its own; it ends with 0 when its work came through."""
    child = os.fork()
    if child:
        return child
    try:
        work()
    except BaseException:
        traceback.print_exc()
        os._exit(1)
    os._exit(0)


def came_through(child: int) -> bool:
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def crowd(folder: Path, notes: Path) -> bool:
    """Eight write, two read, one joins; true when all of them came through."""
    done = notes.with_name("done")
    others = [forked(lambda: read_until(folder, done)) for _ in range(READERS)]
    others.append(forked(lambda: join_until(folder, done)))
    writers = [
        forked(lambda who=f"w{number}": write_rows(folder, notes, who, ROWS_EACH))
        for number in range(WRITERS)
    ]
    wrote = [came_through(child) for child in writers]
    done.touch()
    return all([*wrote, *map(came_through, others)])


def an_append_takes(folder: Path, notes: Path) -> float:
    """Seconds; what is loaded on first use is loaded now, and not in every process again."""
    write_rows(folder, notes, "warm", 3)
    compact(folder, "readings")
    begin = time.perf_counter()
    write_rows(folder, notes, "timed", 5)
    return (time.perf_counter() - begin) / 5


def killed(folder: Path, notes: Path, kills: int, seed: int) -> bool:
    """Kill writers and joiners at random moments; after every twenty, the log must be readable."""
    chance = random.Random(seed)
    longest_s = LONGEST_LIFE * an_append_takes(folder, notes)
    readable = True
    for number in range(kills):
        who = f"k{number}"
        if number % 2:
            child = forked(lambda who=who: join_for_ever(folder, notes, who))
        else:
            child = forked(lambda who=who: write_rows(folder, notes, who, 10_000))
        time.sleep(chance.uniform(0.0, longest_s))
        os.kill(child, signal.SIGKILL)
        assert not came_through(child)
        if number % 20 == 19:
            readable &= came_through(forked(lambda: read_once(folder)))
    return readable


def read_once(folder: Path) -> None:
    read_fleet(folder)


if __name__ == "__main__":
    what, folder, notes = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    counts = [int(word) for word in sys.argv[4:]]
    fine = crowd(folder, notes) if what == "crowd" else killed(folder, notes, *counts)
    sys.exit(0 if fine else 1)
