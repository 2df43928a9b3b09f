"""Laws of reading: they hold for every fleet that Hypothesis can think of."""

from __future__ import annotations

import random
import tempfile
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow as pa
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from corrosion.common.errors import Refusal
from corrosion.records.logbook import Logbook, read_fleet
from corrosion.records.logs import LOGS
from tests.fleets import FleetLogs, usual_fleet, write_table

pytestmark = pytest.mark.slow

AT = "2031-05-10T12:00Z"
PLACES = ["log_row", "log_file"]  # where a row was found, which a law of content says nothing of

moments = st.integers(0, 80).map(lambda steps: f"{datetime(2031, 5, 1) + steps * STEP}")
STEP = timedelta(hours=6)
names = st.sampled_from(["a", "b", "c", "d", "e", None])
entries = st.fixed_dictionaries(
    {
        "entry_id": names,
        "corrects": st.one_of(st.none(), names),
        "entered_at": st.none() | moments,
        "void": st.sampled_from([None, None, True, False]),
    }
)
hulls = st.sampled_from(["H1", "H2"])
sizes = st.none() | st.sampled_from([8.0, 8.5, float("inf")])
waters = st.sampled_from(["salt", "Fresh ", "sea", None])


@st.composite
def event(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """A row of some log: readings mostly, since corrections are the hard part."""
    log = draw(st.sampled_from(["readings", "readings", "outings", "berths", "bookings"]))
    hull_id, when = draw(hulls), draw(moments)
    own: dict[str, Any] = {
        "readings": {"position": "pencil", "read_at": when, "size_mm": draw(sizes)},
        "outings": {"started": when, "ended": when, "engine_hours": 1.0, "water": draw(waters)},
        "berths": {"mooring_id": "L", "stays": "lifted", "since": when},
        "bookings": {"starts": when, "ends": when},
    }[log]
    return log, {"hull_id": hull_id} | own | draw(entries)


fleets = st.lists(event(), max_size=25)


def fleet_of(events: list[tuple[str, dict[str, Any]]]) -> FleetLogs:
    fleet = usual_fleet(2).hull("H9", retired="2031-05-08")
    for log, row in events:
        fleet.add(log, **row)
    return fleet


def read(fleet: FleetLogs, files: int = 1) -> Logbook:
    """The fleet as read at `AT`; logs without rows are there, and empty."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        fleet.write(folder, files)
        for log in LOGS:
            if not fleet.rows[log]:
                write_table(folder, log, pa.table({}))
        return read_fleet(folder, AT)


def assert_same_content(one: Logbook, other: Logbook) -> None:
    assert one.on == other.on
    pd.testing.assert_frame_equal(one.findings, other.findings)
    for log in LOGS:
        for ours, theirs in ((one.tables, other.tables), (one.history, other.history)):
            pd.testing.assert_frame_equal(
                ours[log].drop(columns=PLACES), theirs[log].drop(columns=PLACES)
            )


@settings(max_examples=20)
@given(fleets, st.integers(1, 5), st.randoms(use_true_random=False))
def test_the_order_of_rows_and_their_files_change_nothing(
    events: list[tuple[str, dict[str, Any]]], files: int, chance: random.Random
) -> None:
    fleet = fleet_of(events)
    shuffled = FleetLogs({log: chance.sample(rows, len(rows)) for log, rows in fleet.rows.items()})
    assert_same_content(read(fleet), read(shuffled, files))


@settings(max_examples=20)
@given(fleets)
def test_looking_back_equals_reading_logs_that_were_cut_then(
    events: list[tuple[str, dict[str, Any]]],
) -> None:
    fleet = fleet_of(events)
    cut = FleetLogs(
        {log: [r for r in rows if not later(log, r)] for log, rows in fleet.rows.items()}
    )
    cut.rows["hulls"] = [r | {"retired": known_then(r.get("retired"))} for r in cut.rows["hulls"]]
    assert_same_content(read(fleet), read(cut))


def later(log: str, row: dict[str, Any]) -> bool:
    """True for what a log that was cut at `AT` does not hold yet."""
    if log in ("hulls", "moorings", "anode_positions", "bookings"):
        return False
    times = [row[LOGS[log].event_time], row.get("entered_at")]
    return any(known_then(time) is None for time in times if time is not None)


def known_then(time: str | None) -> str | None:
    known = time is not None and pd.Timestamp(time, tz="UTC") <= pd.Timestamp(AT)
    return time if known else None


@settings(max_examples=20)
@given(fleets)
def test_no_row_is_lost_and_at_most_one_of_each_matter_stands(
    events: list[tuple[str, dict[str, Any]]],
) -> None:
    logbook = read(fleet_of(events))
    for log in LOGS:
        history = logbook.history[log]
        rows = [row for name, row in events if name == log and not later(log, row)]
        assert len(history) == written_once(rows) + len(usual_rows(log))
        assert len(logbook.tables[log]) == (history["standing"] == "stands").sum()
        void = history["void"].fillna(False) if "void" in history else pd.Series(dtype=bool)
        assert (history.loc[void[void].index, "standing"] == "voided").all()


def written_once(rows: list[dict[str, Any]]) -> int:
    """How many rows there are; one that was sent twice under one name says its thing once."""
    named = {repr(sorted(row.items(), key=str)) for row in rows if row.get("entry_id")}
    return len(named) + sum(not row.get("entry_id") for row in rows)


def usual_rows(log: str) -> list[dict[str, Any]]:
    return fleet_of([]).rows[log]


MANY_TYPES: list[tuple[pa.DataType, st.SearchStrategy[Any]]] = [
    (pa.int64(), st.integers(-(2**63), 2**63 - 1)),
    (pa.uint64(), st.integers(0, 2**64 - 1)),
    (pa.float64(), st.floats()),
    (pa.float32(), st.floats(width=32)),
    (pa.bool_(), st.booleans()),
    (pa.string(), st.text(max_size=12) | st.sampled_from(["2031-05-01", "salt", "12.0", "yes"])),
    (pa.large_string(), st.text(max_size=8)),
    (pa.binary(), st.binary(max_size=8)),
    (pa.binary(16), st.binary(min_size=16, max_size=16)),
    (pa.binary(3), st.binary(min_size=3, max_size=3)),
    (pa.date32(), st.dates()),
    (pa.timestamp("ms"), st.integers(-(2**62), 2**62)),
    (pa.timestamp("us", "UTC"), st.datetimes().map(lambda t: t.replace(tzinfo=UTC))),
    (pa.timestamp("ns", "Mars/Crater"), st.integers(-(2**62), 2**62)),
    (pa.time64("us"), st.times()),
    (pa.duration("s"), st.integers(-(2**40), 2**40)),
    (pa.decimal128(20, 3), st.decimals(-1000, 1000, places=3)),
    (pa.list_(pa.int64()), st.lists(st.integers(0, 9), max_size=3)),
    (pa.struct([("x", pa.int64())]), st.fixed_dictionaries({"x": st.integers(0, 9)})),
    (pa.map_(pa.string(), pa.int64()), st.just([("x", 1)])),
    (pa.null(), st.none()),
    (pa.dictionary(pa.int8(), pa.string()), st.sampled_from(["salt", "H1", "", "7"])),
]


@st.composite
def cells(draw: st.DrawFn) -> pa.Array:
    """Three cells of any type that Parquet can hold."""
    kind, values = draw(st.sampled_from(MANY_TYPES))
    return pa.array(draw(st.lists(st.none() | values, min_size=3, max_size=3)), kind)


@st.composite
def tables(draw: st.DrawFn) -> tuple[str, pa.Table]:
    """A table of some log with columns of any type, contract columns and others."""
    log = LOGS[draw(st.sampled_from(sorted(LOGS)))]
    optional = draw(st.sets(st.sampled_from([*log.names, "keel", "standing"]), max_size=5))
    named = dict.fromkeys([*log.required, *sorted(optional)])
    return log.name, pa.table({name: draw(cells()) for name in named})


def outcome(folder: Path) -> str:
    """What reading the folder came to: `read`, or the refusal's sentence."""
    try:
        logbook = read_fleet(folder, AT)
    except Refusal as refusal:
        return str(refusal)
    for log, table in logbook.tables.items():
        assert list(table)[: len(LOGS[log].names)] == list(LOGS[log].names)
    return "read"


def assert_read_or_refused(folder: Path, log: str) -> None:
    reading = outcome(folder)
    assert reading == "read" or reading.startswith(f"{log}: ")
    assert "\n" not in reading


@pytest.mark.slow
@settings(max_examples=60)
@given(tables(), tables())
def test_tables_of_any_types_are_read_or_refused(
    one: tuple[str, pa.Table], two: tuple[str, pa.Table]
) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = usual_fleet().write(Path(name))
        write_table(folder, one[0], one[1], "one.parquet")
        reading = outcome(folder)
        assert reading == "read" or reading.startswith(f"{one[0]}: ")
        write_table(folder, one[0], two[1] if two[0] == one[0] else one[1], "two.parquet")
        assert_read_or_refused(folder, one[0])


@pytest.mark.slow
@settings(max_examples=50)
@given(st.binary(max_size=300), st.integers(0, 3000), st.integers(0, 200))
@example(b"PAR1", 0, 0)
def test_no_bytes_are_anything_but_rows_or_a_refusal(new: bytes, at: int, cut: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = usual_fleet().write(Path(name))
        path = folder / "fittings" / "part-0.parquet"
        whole = path.read_bytes()
        path.write_bytes(whole[:at] + new + whole[at + cut :])
        assert_read_or_refused(folder, "fittings")
        path.write_bytes(new)
        assert outcome(folder).startswith("fittings: part-0.parquet is not a whole Parquet file")


def test_a_berth_since_a_date_is_there_from_that_midnight_on(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path)
    row = {"hull_id": ["H1"], "mooring_id": ["L"], "stays": ["lifted"], "since": [date(2031, 5, 2)]}
    write_table(folder, "berths", pa.table(row))
    assert len(read_fleet(folder, "2031-05-02").berths) == 3
    assert len(read_fleet(folder, "2031-05-01T23:59").berths) == 2
