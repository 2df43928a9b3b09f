"""Laws of checking: they hold for every fleet that Hypothesis can think of."""

from __future__ import annotations

import random
import tempfile
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from corrosion.records.checks import RULES, Checked, check_logs
from corrosion.records.logs import LOGS
from tests.fleets import FleetLogs
from tests.unit.records.checked import checked, looked, sound_fleet

pytestmark = pytest.mark.slow

PLACES = ["log_row", "log_file"]  # where a row was found, which a law of content says nothing of
ADDED = ["doubtful", "breaks_life"]
WHOLE_ROW = {rule.name for rule in RULES if rule.severity == "set-aside" and not rule.cells}

# few moments and few values, so that rows meet
moments = st.integers(0, 12).map(lambda step: f"{datetime(2031, 5, 1, 8) + step * STEP}")
STEP = timedelta(hours=5)
hulls = st.sampled_from(["H1", "H1", "h1"])
sizes = st.sampled_from([None, 8.0, 7.6, 0.31, 203.0, 4.0, -1.0, 0.8, 11.0, 9.0])
numbers = st.sampled_from([None, -1.0, 0.0, 1.9, 40.0])

rows: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "readings": st.fixed_dictionaries(
        {"hull_id": hulls, "position": st.sampled_from(["pencil", "pencil", "pen"]),
         "read_at": moments, "size_mm": sizes, "size_low_mm": sizes, "size_high_mm": sizes,
         "verdict": st.sampled_from([None, "ok", "worn"]), "removed": st.sampled_from([None, True]),
         "entered_at": st.none() | moments}
    ),
    "outings": st.fixed_dictionaries(
        {"hull_id": hulls, "started": moments, "ended": moments, "engine_hours": numbers,
         "meter_hours": numbers}
    ),
    "flushes": st.fixed_dictionaries({"hull_id": hulls, "flushed_at": moments, "minutes": numbers}),
    "fittings": st.fixed_dictionaries(
        {"hull_id": hulls, "position": st.just("pencil"), "fitted_at": moments, "size_mm": sizes}
    ),
    "bookings": st.fixed_dictionaries({"hull_id": hulls, "starts": moments, "ends": moments}),
    "water_samples": st.fixed_dictionaries(
        {"mooring_id": st.sampled_from(["E", "Z"]), "sampled_at": moments, "temperature_c": numbers}
    ),
}  # fmt: skip
planted = st.lists(
    st.sampled_from(sorted(rows)).flatmap(lambda log: st.tuples(st.just(log), rows[log])),
    max_size=12,
)

INCH = ("readings", {"hull_id": "H1", "position": "pencil", "read_at": looked(3), "size_mm": 0.31})


def fleet_of(events: list[tuple[str, dict[str, Any]]]) -> FleetLogs:
    fleet = sound_fleet()
    for log, row in events:
        fleet.add(log, **row)
    return fleet


def check(events: list[tuple[str, dict[str, Any]]], order: int = 0, files: int = 1) -> Checked:
    fleet = fleet_of(events)
    if order:
        for cells in fleet.rows.values():
            random.Random(order).shuffle(cells)
    with tempfile.TemporaryDirectory() as folder:
        return checked(fleet, Path(folder), files)


@settings(max_examples=6)
@given(planted, st.integers(1, 1000), st.integers(1, 4))
@example([INCH, INCH], 1, 3)
def test_order_of_rows_and_split_into_files_change_nothing(
    events: list[tuple[str, dict[str, Any]]], order: int, files: int
) -> None:
    plain, shuffled = check(events), check(events, order, files)
    pd.testing.assert_frame_equal(plain.findings, shuffled.findings)
    for log in LOGS:
        a, b = plain.tables[log].drop(columns=PLACES), shuffled.tables[log].drop(columns=PLACES)
        pd.testing.assert_frame_equal(a[sorted(a)], b[sorted(b)])


@settings(max_examples=12)
@given(planted)
@example([INCH, INCH])
def test_every_row_is_kept_or_counted_and_every_objection_is_told(
    events: list[tuple[str, dict[str, Any]]],
) -> None:
    result = check(events)
    findings_count_their_objections(result)
    for log, read in result.logbook.tables.items():
        nothing_is_lost_uncounted(result, log, read)
        kept_rows_say_what_they_said(result, log, read)
    marks_are_doubts(result)


def findings_count_their_objections(result: Checked) -> None:
    own = result.findings.iloc[len(result.logbook.findings) :].set_index(["log", "rule"])
    objections = result.objections
    assert not objections.duplicated(["log", "log_row", "rule"]).any()
    assert own["rows"].to_dict() == objections.groupby(["log", "rule"]).size().to_dict()


def nothing_is_lost_uncounted(result: Checked, log: str, read: pd.DataFrame) -> None:
    aside, believed = set_aside(result, log), result.tables[log]["log_row"]
    assert set(believed) <= set(read["log_row"])
    assert set(read["log_row"]) - set(believed) <= set(aside["log_row"])
    assert not believed.isin(aside.loc[aside["rule"].isin(WHOLE_ROW), "log_row"]).any()


def kept_rows_say_what_they_said(result: Checked, log: str, read: pd.DataFrame) -> None:
    """But for cells that were set aside, which are unknown."""
    believed = result.tables[log].drop(columns=ADDED, errors="ignore").set_index("log_row")
    before = read.set_index("log_row").loc[believed.index]
    same = ((believed == before) | (believed.isna() & before.isna())).fillna(False).astype(bool)
    assert believed.mask(same).isna().all(axis=None)
    assert set(believed.index[~same.all(axis=1)]) <= set(set_aside(result, log)["log_row"])


def marks_are_doubts(result: Checked) -> None:
    objections = result.objections
    doubted = objections[(objections["log"] == "readings") & (objections["severity"] == "doubtful")]
    marked = result.readings.loc[result.readings["doubtful"], "log_row"]
    assert set(marked) == set(doubted["log_row"]) & set(result.readings["log_row"])


def set_aside(result: Checked, log: str) -> pd.DataFrame:
    objections = result.objections
    return objections[(objections["log"] == log) & (objections["severity"] == "set-aside")]


@settings(max_examples=6)
@given(planted, st.sampled_from([*sorted(rows), "hulls"]))
@example([INCH, INCH], "readings")
def test_what_is_objected_to_in_one_log_is_the_same_when_only_that_log_is_asked_about(
    events: list[tuple[str, dict[str, Any]]], log: str
) -> None:
    result = check(events)
    alone = check_logs(result.logbook, {log})
    of_log = [each[each["log"] == log] for each in (result.objections, alone.objections)]
    assert of_log[0].to_dict("records") == of_log[1].to_dict("records")
    pd.testing.assert_frame_equal(result.tables[log], alone.tables[log])
