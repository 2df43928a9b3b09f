"""The answers of three small fleets, written down: what moves an answer is seen, and how far.

`python -m tests.unit.recorded` records them anew; do so when the same logs are meant to get another
answer, and say in the commit what moved.
"""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd

from corrosion.command_line import main
from tests.known_truth.simulator import KINDS, simulate, write

FILE = Path(__file__).parent / "recorded_answers.json"
FLEETS = {"standard": 11, "engine_afloat": 12, "messy": 13}
"""Kinds of the simulator, and the seed of each."""
COMMANDS = (
    ("rank",),
    ("anodes", "--days", "28"),
    ("habits",),
    ("moorings",),
    ("flushing",),
    ("plan", "--horizon"),
)
NEAR = 1e-3
"""Numbers that differ by less, relative or absolute, are the same on another machine."""

Answers = dict[str, list[dict[str, Any]]]


def answers(kind: str, folder: Path) -> Answers:
    """Ask every command of one fleet; rows by command."""
    plan = replace(KINDS[kind], hulls=10, days=170, tail_days=30)
    fleet = simulate(kind, FLEETS[kind], plan)
    logs, on = write(fleet, folder), f"{fleet.dates(6)[-1]:%Y-%m-%d}"
    return {command[0]: _rows(logs, on, *command) for command in COMMANDS}


def _rows(logs: Path, on: str, command: str, *options: str) -> list[dict[str, Any]]:
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        code = main([command, str(logs), "--on", on, "--format", "json", *options])
    assert code == 0, (command, options)
    answer = json.loads(printed.getvalue())
    return answer if isinstance(answer, list) else [answer]


def moved(was: Answers, now: Answers) -> list[str]:
    """Say cell by cell what differs, the farthest first."""
    lines = [line for command in was for line in _moved_rows(command, was[command], now[command])]
    return [text for _, text in sorted(lines, key=lambda line: -line[0])]


def _moved_rows(
    command: str, was: list[dict[str, Any]], now: list[dict[str, Any]]
) -> Iterator[tuple[float, str]]:
    if len(was) != len(now):
        yield float("inf"), f"{command}: {len(was)} rows were recorded, {len(now)} came"
    before, after = ({_name(row, at): row for at, row in enumerate(rows)} for rows in (was, now))
    for name in before.keys() & after.keys():
        for column, value in before[name].items():
            far = distance(value, after[name].get(column))
            if far > NEAR:
                text = f"{command} {name} {column}: {value!r}, now {after[name].get(column)!r}"
                yield far, text
    for name in before.keys() ^ after.keys():
        yield float("inf"), f"{command} {name}: {'gone' if name in before else 'new'}"


def _name(row: dict[str, Any], at: int) -> str:
    keys = ("hull_id", "position", "circuit", "water", "state", "mooring_id")
    if row.get("hull_id") is not None:
        return " ".join(str(row[key]) for key in ("hull_id", "position", "day") if key in row)
    return " ".join(str(row[key]) for key in keys if key in row) or f"row {at}"


def distance(one: Any, other: Any) -> float:
    """Return how far two cells lie apart; infinitely where they are no numbers and differ."""
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        return max(map(distance, one, other), default=0.0)
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        return max((distance(one[key], other[key]) for key in one), default=0.0)
    numbers = (int, float)
    if isinstance(one, numbers) and isinstance(other, numbers) and not isinstance(one, bool):
        return abs(one - other) / max(1.0, abs(one))
    if isinstance(one, str) and isinstance(other, str) and one != other:
        return float("inf") if not _is_sentence(one) else 0.0
    return 0.0 if one == other else float("inf")


def _is_sentence(text: str) -> bool:
    """Sentences say the numbers again, rounded; they are tested where they are made."""
    return len(text.split()) > 3


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as spare:
        made = {kind: answers(kind, Path(spare) / kind) for kind in FLEETS}
    FILE.write_text(json.dumps(made, indent=0, default=str) + "\n", encoding="utf-8")
    print(f"{FILE}: {sum(map(len, made.values()))} answers of {pd.Timestamp.now():%Y-%m-%d}")
