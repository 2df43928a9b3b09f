"""Small fleets drawn from the column dictionary, and what commands make of them.

Every log gets rows of whatever its columns may hold: usual values, and in a share that is drawn for
the fleet odd ones (a day in 9999, a size of nothing, endless numbers, names with a line break in
them). Whole logs are left out, files are cut short, settings are drawn too. A seed names its fleet.

    python -m tests.storage.random_fleets FIRST COUNT

prints a line for every command that neither answered nor refused in one line.
"""

from __future__ import annotations

import contextlib
import io
import resource
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from corrosion.command_line import main
from corrosion.records.logs import LOGS, Column, Log

COMMANDS = ("rank", "plan", "parts", "check")
FIRST_DAY = datetime(2031, 4, 1, tzinfo=UTC)
ON = "2031-06-15"

HOSTILE_NAMES = (
    *("a\nb", "x" * 400, " ", "=1+1", "![](http://h.example/a)", "<a href='//h.example'>a</a>"),
    *(
        "H1",
        "h1",
        "1",
        "nan",
        "None",
        "\u202eabc",
        "é",
        "\U0001f6a4",
        "a,b",
        "a|b",
        "'",
        '"',
        "\x85",
    ),
)
ODD_NUMBERS = (
    *(0.0, -1.0, 1e-300, 1e9, 1e18, 1e300, -1e300, 99999.0, 2000.0, 25.4, 0.35, 5e-324),
    *(float("inf"), float("-inf"), float("nan")),
)
ODD_DAYS = tuple(
    datetime(*day, tzinfo=UTC)
    for day in (
        *((1, 1, 1), (1677, 9, 21), (1899, 12, 31), (1970, 1, 1), (2031, 10, 26, 1, 30)),
        *((2199, 12, 31, 23), (2200, 1, 1), (2262, 4, 12), (9999, 12, 31, 23, 59, 59)),
    )
)
USUAL_NUMBERS = {
    "new_size_mm": (8.0, 20.0), "limit_size_mm": (4.0, 7.9), "size_mm": (4.0, 10.0),
    "size_low_mm": (4.0, 7.0), "size_high_mm": (7.0, 10.0), "engine_hours": (0.2, 3.0),
    "salinity_g_per_kg": (0.0, 36.0), "meter_hours": (100.0, 500.0), "temperature_c": (4.0, 24.0),
    "minutes": (3.0, 15.0), "inspect_days": (20.0, 200.0), "inspect_hours": (20.0, 200.0),
    "potential_mv": (-1100.0, -700.0), "risk_now": (0.0, 1.0), "risk_after": (0.0, 1.0),
    "pieces": (-3.0, 9.0), "bay": (1.0, 3.0),
}  # fmt: skip
ROWS = {
    "hulls": 4, "moorings": 3, "berths": 5, "anode_positions": 4, "outings": 40, "flushes": 20,
    "fittings": 12, "readings": 24, "bookings": 8,
}  # fmt: skip


@dataclass(frozen=True)
class Fault:
    """A command that neither answered nor refused in one line."""

    seed: int
    command: str
    what: str

    def __str__(self) -> str:
        return f"seed {self.seed}, {self.command}: {self.what}"


class Draw:
    """A fleet's dice: names that its rows share, and how often a cell is odd."""

    def __init__(self, seed: int) -> None:
        self.dice = np.random.default_rng([seed, 20310401])
        self.odd = float(self.dice.choice([0.0, 0.0, 0.01, 0.05, 0.3]))
        hostile = self.dice.random() < 0.3
        self.names = {
            "hull_id": self._names("H", int(self.dice.integers(1, 5)), hostile),
            "mooring_id": self._names("M", int(self.dice.integers(1, 4)), hostile),
            "layout": self._names("L", int(self.dice.integers(1, 3)), hostile),
            "position": self._names("p", int(self.dice.integers(1, 4)), hostile),
        }

    def _names(self, start: str, many: int, hostile: bool) -> list[str]:
        usual = [f"{start}{number}" for number in range(1, many + 1)]
        return [self.pick(HOSTILE_NAMES) if hostile and self.one_in(3) else name for name in usual]

    def pick(self, among: Any) -> Any:
        return among[int(self.dice.integers(len(among)))]

    def one_in(self, many: float) -> bool:
        return bool(self.dice.random() < 1 / many)

    def cell(self, column: Column) -> Any:
        """Return what stands in a cell of the column; None is unknown."""
        if not column.required and self.one_in(3):
            return None
        odd = self.dice.random() < self.odd
        if odd and self.one_in(4):
            return None
        return self._odd(column) if odd else self._usual(column)

    def _usual(self, column: Column) -> Any:
        if column.name in self.names:
            return self.pick(self.names[column.name])
        if column.kind in ("moment", "date"):
            return FIRST_DAY + timedelta(hours=float(self.dice.integers(0, 24 * 90)))
        if column.kind == "number":
            low, high = USUAL_NUMBERS.get(column.name, (0.0, 60.0))
            return round(float(self.dice.uniform(low, high)), 1)
        if column.kind == "word":
            return self.pick(column.words)
        if column.kind == "flag":
            return self.one_in(2)
        return f"{column.name}-{self.dice.integers(5)}"

    def _odd(self, column: Column) -> Any:
        if column.kind in ("moment", "date"):
            return self.pick(ODD_DAYS)
        if column.kind == "number":
            return self.pick(ODD_NUMBERS)
        return self.one_in(2) if column.kind == "flag" else self.pick(HOSTILE_NAMES)


def write_random_fleet(folder: Path, seed: int) -> None:
    """Write the fleet that a seed names."""
    draw = Draw(seed)
    folder.mkdir(parents=True)
    for name, log in LOGS.items():
        wanted = log.needed or name in ("readings", "fittings", "outings")
        if draw.one_in(40 if wanted else 2):
            continue
        _write_log(folder, draw, log)
    (folder / "fleet.toml").write_text(_settings(draw), encoding="utf-8")
    files = sorted(folder.rglob("*.parquet"))
    if files and draw.one_in(25):
        spoiled = draw.pick(files)
        spoiled.write_bytes(spoiled.read_bytes()[: int(draw.dice.integers(200))])


def _write_log(folder: Path, draw: Draw, log: Log) -> None:
    rows = _register(draw, log) if log.register and not draw.one_in(10) else None
    if rows is None:
        rows = [_row(draw, log) for _ in range(int(draw.dice.integers(ROWS.get(log.name, 4) + 1)))]
    columns = [column for column in log if column.required or not draw.one_in(4)]
    cells = {
        column.name: pa.array([row[column.name] for row in rows], _type(column))
        for column in columns
    }
    (folder / log.name).mkdir()
    pq.write_table(pa.table(cells), folder / log.name / "part.parquet")


def _row(draw: Draw, log: Log) -> dict[str, Any]:
    row = {column.name: draw.cell(column) for column in log}
    entry = {"void": draw.one_in(30), "entry_id": None, "corrects": None, "entered_by": "dock"}
    if draw.dice.random() >= draw.odd:
        entry |= {"entered_at": None}
    row |= {name: value for name, value in entry.items() if name in row}
    if log.register and draw.one_in(1.1):  # an unreadable word of a register refuses the fleet
        words = [column for column in log if column.words]
        row |= {column.name: draw.pick(column.words) for column in words}
        row |= {"void": False}
    for start, end in (("started", "ended"), ("starts", "ends"), ("opens", "closes")):
        if row.get(start) and end in row and draw.dice.random() >= draw.odd:
            with contextlib.suppress(OverflowError):
                row[end] = row[start] + timedelta(hours=float(draw.dice.uniform(1, 5)))
    return row


def _register(draw: Draw, log: Log) -> list[dict[str, Any]]:
    """Return a row for each name, as a register has them, so that most fleets can be judged."""
    keys = [[(key, name) for name in draw.names[key]] for key in log.keys if key in draw.names]
    if log.name == "berths":
        keys = keys[:1]
    table: list[dict[str, Any]] = [{}]
    for choices in keys:
        table = [{**row, key: name} for row in table for key, name in choices]
    early = {"since", "in_service"}
    rows = [_row(draw, log) | row for row in table]
    for row in rows:
        row |= {name: FIRST_DAY for name in early & row.keys() if draw.dice.random() >= draw.odd}
        if "retired" in row and not draw.one_in(6):
            row["retired"] = None
    return rows


def _type(column: Column) -> pa.DataType:
    if column.kind in ("moment", "date"):
        return pa.timestamp("us", "UTC")
    return {"number": pa.float64(), "flag": pa.bool_()}.get(column.kind, pa.string())


def _settings(draw: Draw) -> str:
    lines = []
    amounts = ("tolerated_risk", "wage_per_hour", "haul_hours", "late_days", "lead_days")
    for key in (*amounts, "service_level", "horizon_weeks", "unplanned_per_week"):
        if draw.one_in(4):
            usual = {"tolerated_risk": 0.2, "service_level": 0.9}.get(key, 3)
            odd = draw.pick((0, 1, 7, 1000, 10**9, 10**30, 0.5))
            lines.append(f"{key} = {odd if draw.dice.random() < draw.odd else usual}")
    if draw.one_in(3):
        lines.append("simulated = true")
    zone = draw.pick(("UTC", "Europe/Lisbon", "Australia/Lord_Howe", "America/St_Johns"))
    lines.append(f'timezone = "{zone}"')
    if draw.one_in(2):
        most = draw.pick((0, 1, 2, 10**12)) if draw.dice.random() < draw.odd else 2
        lines += ["[[bays]]", 'mooring_id = "M1"', f"hulls_per_day = {most}"]
    return "\n".join(lines) + "\n"


def faults_of(
    seed: int, commands: tuple[str, ...] = COMMANDS, longest_s: float = 60
) -> list[Fault]:
    """Run the commands on the fleet of a seed; return what neither answered nor refused."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "fleet"
        write_random_fleet(folder, seed)
        when = [] if seed % 10 == 0 else ["--on", ON]
        troubles = (
            (command, _trouble([command, str(folder), *when], longest_s)) for command in commands
        )
        return [Fault(seed, command, what) for command, what in troubles if what]


def _trouble(words: list[str], longest_s: float) -> str:
    # work of this process, not the clock on the wall: other work may hold the cores
    out, errors, began = io.StringIO(), io.StringIO(), time.process_time()
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(errors):
            code = main(words)
    except Exception as fault:
        last = traceback.extract_tb(fault.__traceback__)
        ours = [frame for frame in last if "/corrosion/" in frame.filename] or list(last)
        at = f"{ours[-1].filename.split('/corrosion/')[-1]}:{ours[-1].lineno}"
        return f"{type(fault).__name__} at {at}: {str(fault)[:150]!r}"
    if code not in (0, 1):
        return f"left with code {code}"
    if code == 1 and (not errors.getvalue().strip() or len(errors.getvalue().splitlines()) != 1):
        return (
            f"refused in {len(errors.getvalue().splitlines())} lines: {errors.getvalue()[:100]!r}"
        )
    spent = time.process_time() - began
    return f"took {spent:.0f} s of work" if spent > longest_s else ""


def all_faults(first: int, count: int) -> Iterator[Fault]:
    """Go through the fleets of so many seeds."""
    for seed in range(first, first + count):
        yield from faults_of(seed)


if __name__ == "__main__":
    warnings.simplefilter("error")
    began, seen = time.monotonic(), 0
    for fault in all_faults(int(sys.argv[1]), int(sys.argv[2])):
        seen += 1
        print(fault, flush=True)
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{seen} faults in {len(COMMANDS) * int(sys.argv[2])} commands on {sys.argv[2]} fleets; "
        f"{time.monotonic() - began:.0f} s, at most {peak_mb:.0f} MB"
    )
