"""Small fleets for tests: rows said in a line each, written to a folder as the logs are.

Nothing wears here: sizes are what the test says. Times are ISO 8601 text and UTC unless they say
otherwise; hulls, moorings, positions and berths have usual values that a keyword replaces.

    fleet = usual_fleet().outing("H1", "2031-05-01 09:00", hours=2.0)
    logbook = read_fleet(fleet.write(tmp_path), on="2031-06-01")
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, Self

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from corrosion.records.logs import LOGS, Column

DAY_ONE = "2031-04-01"

_TYPES = {
    "number": pa.float64(),
    "flag": pa.bool_(),
    "moment": pa.timestamp("us", "UTC"),
    "date": pa.timestamp("us", "UTC"),
}


@dataclass
class FleetLogs:
    """Rows of every log, in the order in which they were said; every method returns the fleet."""

    rows: dict[str, list[dict[str, Any]]] = field(default_factory=lambda: {n: [] for n in LOGS})
    settings: dict[str, object] = field(default_factory=dict)

    def add(self, log: str, **cells: object) -> Self:
        """Any row of any log; columns beyond the contract are kept."""
        self.rows[log].append(cells)
        return self

    def setting(self, **values: object) -> Self:
        """Keys of `fleet.toml`: texts, numbers, flags and lists of them."""
        self.settings |= values
        return self

    def hull(self, hull_id: str, layout: str = "twin", **cells: object) -> Self:
        return self.add("hulls", hull_id=hull_id, layout=layout, **cells)

    def mooring(self, mooring_id: str, water: str = "salt", **cells: object) -> Self:
        return self.add("moorings", mooring_id=mooring_id, water=water, **cells)

    def berth(
        self,
        hull_id: str,
        mooring_id: str,
        stays: str = "afloat",
        since: str = DAY_ONE,
        **cells: object,
    ) -> Self:
        row = {"hull_id": hull_id, "mooring_id": mooring_id, "stays": stays, "since": since}
        return self.add("berths", **row, **cells)

    def position(
        self,
        position: str,
        circuit: str = "engine",
        new_size_mm: float = 9.0,
        limit_size_mm: float = 6.4,
        *,
        layout: str = "twin",
        alloy: str = "zinc",
        **cells: object,
    ) -> Self:
        row = {"layout": layout, "position": position, "circuit": circuit, "alloy": alloy}
        sizes = {"new_size_mm": new_size_mm, "limit_size_mm": limit_size_mm}
        return self.add("anode_positions", **row, **sizes, **cells)

    def sample(self, mooring_id: str, sampled_at: str, **cells: object) -> Self:
        return self.add("water_samples", mooring_id=mooring_id, sampled_at=sampled_at, **cells)

    def outing(
        self, hull_id: str, started: str, hours: float = 2.0, share: float = 0.9, **cells: object
    ) -> Self:
        """Out for `hours` h by the clock, the engine running for that `share` of them."""
        ended = pd.Timestamp(started) + pd.Timedelta(hours=hours)
        row = {"hull_id": hull_id, "started": started, "ended": str(ended)}
        return self.add("outings", **(row | {"engine_hours": hours * share} | cells))

    def flush(self, hull_id: str, flushed_at: str, **cells: object) -> Self:
        return self.add("flushes", hull_id=hull_id, flushed_at=flushed_at, **cells)

    def fitting(self, hull_id: str, position: str, fitted_at: str, **cells: object) -> Self:
        row = {"hull_id": hull_id, "position": position, "fitted_at": fitted_at}
        return self.add("fittings", **row, **cells)

    def reading(
        self,
        hull_id: str,
        position: str,
        read_at: str,
        size_mm: float | None = None,
        **cells: object,
    ) -> Self:
        row = {"hull_id": hull_id, "position": position, "read_at": read_at, "size_mm": size_mm}
        return self.add("readings", **row, **cells)

    def booking(self, hull_id: str, starts: str, ends: str, **cells: object) -> Self:
        return self.add("bookings", hull_id=hull_id, starts=starts, ends=ends, **cells)

    def season(self, hull_id: str, first: str, days: int, *, flushed: bool = False) -> Self:
        """An outing of 2 h at 09:00 UTC each day, flushed at 11:30 if so said."""
        for day in pd.date_range(first, periods=days):
            self.outing(hull_id, f"{day:%Y-%m-%d} 09:00")
            if flushed:
                self.flush(hull_id, f"{day:%Y-%m-%d} 11:30")
        return self

    def write(self, folder: Path, files: int = 1) -> Path:
        """Write the logs that have rows, each dealt out over so many files; returns the folder."""
        folder.mkdir(parents=True, exist_ok=True)
        for log, rows in self.rows.items():
            write_log(folder, log, rows, files)
        if self.settings:
            lines = [f"{key} = {json.dumps(value)}\n" for key, value in self.settings.items()]
            (folder / "fleet.toml").write_text("".join(lines), encoding="utf-8")
        return folder


def usual_fleet(hulls: int = 2) -> FleetLogs:
    """Hulls H1, H2 ... in turn at an estuary E (salt), a lagoon B (brackish) and a lake L (fresh).

    All of layout `twin`, with an engine-circuit `pencil` (9.0 to 6.4 mm) and a hull-circuit `plate`
    (15.0 to 10.0 mm), in service, afloat and freshly fitted on `DAY_ONE`.
    """
    fleet = FleetLogs().mooring("E", "salt").mooring("B", "brackish").mooring("L", "fresh")
    fleet.position("pencil", gauge="diameter").position("plate", "hull", 15.0, 10.0)
    for number in range(1, hulls + 1):
        hull_id = f"H{number}"
        fleet.hull(hull_id, in_service=DAY_ONE).berth(hull_id, "EBL"[(number - 1) % 3])
        fleet.fitting(hull_id, "pencil", DAY_ONE).fitting(hull_id, "plate", DAY_ONE)
    return fleet


def write_log(folder: Path, log: str, rows: list[dict[str, Any]], files: int = 1) -> None:
    """Write rows as `<log>/part-0.parquet` and so on, in the types of the contract."""
    for number in range(min(files, len(rows))):
        part = rows[number::files]
        names = dict.fromkeys(name for row in part for name in row)
        cells = {name: _cells(log, name, [row.get(name) for row in part]) for name in names}
        write_table(folder, log, pa.table(cells), f"part-{number}.parquet")


def write_table(folder: Path, log: str, table: pa.Table, file: str = "part.parquet") -> Path:
    """Write a table of any types as one file of a log."""
    path = folder / log / file
    path.parent.mkdir(parents=True, exist_ok=True)
    pq.write_table(table, path)
    return path


def _cells(log: str, name: str, values: list[object]) -> pa.Array:
    column = next((column for column in LOGS[log] if column.name == name), None)
    return pa.array(values) if column is None else _contract_cells(column, values)


def _contract_cells(column: Column, values: list[Any]) -> pa.Array:
    if column.kind in ("moment", "date"):
        values = [None if value is None else _moment(value) for value in values]
    return pa.array(values, _TYPES.get(column.kind, pa.string()))


def _moment(value: Any) -> datetime:
    moment = pd.Timestamp(value)
    utc = moment.tz_localize("UTC") if moment.tz is None else moment.tz_convert("UTC")
    return utc.to_pydatetime()
