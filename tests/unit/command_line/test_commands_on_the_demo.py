"""The commands on the demo fleet agree with each other and with logs cut at a moment."""

import contextlib
import io
import tomllib
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from corrosion.command_line import main

pytestmark = pytest.mark.slow

HOUSE = Path(__file__).parents[3]
DEMO = HOUSE / "demo_fleet" / "logs"
THEN = "2031-05-20T12:00:00Z"
EVENT_TIMES = {
    "outings": "ended",
    "flushes": "flushed_at",
    "fittings": "fitted_at",
    "readings": "read_at",
    "water_samples": "sampled_at",
    "berths": "since",
}


@cache
def rows_of(command: str, folder: Path = DEMO) -> pd.DataFrame:
    """What a command answers of a fleet four weeks ahead, as CSV; each is asked once."""
    ahead = ("--days", "28") if command in ("rank", "anodes") else ()
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        assert main([command, str(folder), "--on", THEN, *ahead, "--format", "csv"]) == 0
    return pd.read_csv(io.StringIO(printed.getvalue()), dtype={"hull_id": str})


def test_rank_gives_every_hull_in_service_once_riskiest_first() -> None:
    ranked = rows_of("rank")
    columns = ["rank", "hull_id", "mooring_id", "risk", "worst_position", "worn", "pull_by", "why"]
    assert list(ranked)[:8] == columns
    hulls = pd.read_parquet(DEMO / "hulls")
    on = pd.Timestamp(THEN)
    entered, left = (pd.to_datetime(hulls[name], utc=True) for name in ("in_service", "retired"))
    serving = hulls[~(entered > on) & ~(left <= on)]
    assert sorted(ranked.hull_id) == sorted(serving.hull_id)
    judged = ranked.dropna(subset="risk")
    assert judged.risk.is_monotonic_decreasing
    assert list(judged["rank"]) == list(range(1, len(judged) + 1))
    assert judged.risk.between(0, 1, inclusive="neither").all()
    assert ranked.why.notna().all()


def test_a_hulls_risk_lies_between_its_worst_anodes_and_the_sum_of_its_anodes() -> None:
    # the bounds of Bonferroni and of monotony: they hold whatever the anodes share
    anodes = rows_of("anodes")
    ranked = rows_of("rank").set_index("hull_id").risk
    by_hull = anodes.groupby("hull_id").risk
    assert (ranked >= by_hull.max().reindex(ranked.index) - 1e-6).all()
    assert (ranked <= by_hull.sum().reindex(ranked.index) + 1e-6).all()


def test_anodes_and_habits_print_the_columns_they_promise() -> None:
    anodes = rows_of("anodes")
    assert list(anodes)[:12] == [
        *("hull_id", "position", "fitted_at", "last_read_at", "worn", "worn_then", "risk"),
        *("pull_by", "days_left_10", "days_left_50", "days_left_90", "flag"),
    ]
    assert not anodes.duplicated(["hull_id", "position"]).any()
    flags = {"past-limit", "not-wearing", "wearing-fast", "grew", "unread"}
    assert set(anodes.flag.dropna()) <= flags
    habits = rows_of("habits")
    assert list(habits)[:7] == [
        *("circuit", "water", "state", "hours", "worn_per_100h", "low", "high"),
    ]
    assert ((habits.low <= habits.worn_per_100h) & (habits.worn_per_100h <= habits.high)).all()


def cut_at(folder: Path, then: str) -> Path:
    """The demo fleet's logs as they lay there at a moment, file by file; bookings stay."""
    on = pd.Timestamp(then)
    for file in DEMO.rglob("*.parquet"):
        log, rows = file.parent.name, pq.read_table(file)
        for column in {EVENT_TIMES.get(log), "entered_at"} & set(rows.column_names):
            if log != "bookings":
                rows = rows.filter(~later(rows, column, on))
        if log == "hulls":
            left = rows["retired"].to_pandas().mask(later(rows, "retired", on))
            at = rows.column_names.index("retired")
            rows = rows.set_column(at, "retired", pa.array(left, rows.schema.field(at).type))
        (folder / log).mkdir(parents=True, exist_ok=True)
        pq.write_table(rows, folder / log / file.name)
    (folder / "fleet.toml").write_bytes((DEMO / "fleet.toml").read_bytes())
    return folder


def later(rows: pa.Table, column: str, on: pd.Timestamp) -> np.ndarray:
    """Whether each row's time is later; a time without a zone is the fleet's."""
    zone = tomllib.loads((DEMO / "fleet.toml").read_text())["timezone"]
    times = pd.to_datetime(rows[column].to_pandas())
    times = times.dt.tz_localize(zone) if times.dt.tz is None else times
    return (times > on).to_numpy()


@pytest.mark.parametrize("command", ["check", "rank"])
def test_on_gives_what_logs_cut_at_that_moment_give(command: str, tmp_path: Path) -> None:
    cut = cut_at(tmp_path / "cut", THEN)
    pd.testing.assert_frame_equal(rows_of(command), rows_of(command, cut), rtol=1e-9)
