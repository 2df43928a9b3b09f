"""Asked again in one process, the checks say what a fresh process would, whatever changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from pandas.testing import assert_frame_equal

from corrosion.common import Remembered
from corrosion.records import check_logs, read_fleet
from corrosion.records.checks.evidence import Evidence
from corrosion.records.checks.watching import once
from corrosion.records.logs import LOGS
from tests.bench.wide_fleet import END, write_wide_fleet


def _hold_alike(folder: Path, last: Remembered, on: pd.Timestamp | None = None) -> None:
    with last.turned() as known:
        warm = check_logs(read_fleet(folder, on, remembered=known), remembered=known)
    cold = check_logs(read_fleet(folder, on))
    for log in LOGS:
        assert_frame_equal(warm.tables[log], cold.tables[log])
    assert_frame_equal(warm.findings, cold.findings)
    assert_frame_equal(warm.objections, cold.objections)


@pytest.mark.slow
def test_a_change_in_any_log_or_setting_is_seen_and_so_is_another_moment(tmp_path: Path) -> None:
    folder, last = write_wide_fleet(tmp_path / "fleet", 4), Remembered()
    _hold_alike(folder, last)
    files = sorted(folder.rglob("*.parquet"))
    assert len(files) >= 8
    for file in files:
        rows = pd.read_parquet(file)
        # a row of the middle, so that others begin to lack it
        rows.drop(index=rows.index[len(rows) // 2]).to_parquet(file)
        _hold_alike(folder, last)
    settings = folder / "fleet.toml"
    settings.write_text(settings.read_text("utf-8").replace("UTC", "Europe/Lisbon"), "utf-8")
    _hold_alike(folder, last)
    # silences, hires that are over and berths hang on the moment alone
    for days in (30, -12, -40):
        _hold_alike(folder, last, END - pd.Timedelta(days=days))


@pytest.fixture
def evidence() -> Evidence:
    tables = {"outings": pd.DataFrame({"n": [1, 2]}), "hulls": pd.DataFrame({"n": [3]})}
    return Evidence(tables, tables, END, pd.Timestamp(END).tz)


def test_what_is_asked_within_a_question_is_looked_at_by_the_question(evidence: Evidence) -> None:
    asked: list[str] = []

    def inner(seen: Evidence) -> tuple[int, pd.Timestamp]:
        asked.append("inner")
        return int(seen["outings"]["n"].sum()), seen.on

    def outer(seen: Evidence) -> tuple[int, pd.Timestamp]:
        asked.append("outer")
        once(seen, "inner", inner)
        return once(seen, "inner", inner)

    def ask(other: Evidence) -> tuple[int, pd.Timestamp]:
        asked.clear()
        with evidence.last.turned():
            return once(other, "outer", outer)

    ask(evidence)
    assert asked == ["outer", "inner"]
    ask(evidence.with_table("hulls", pd.DataFrame({"n": [4]})))
    assert asked == []
    assert ask(evidence.with_table("outings", pd.DataFrame({"n": [5]})))[0] == 5
    assert asked == ["outer", "inner"]
    later = replace(evidence, on=END + pd.Timedelta(days=1))
    assert ask(later)[1] == later.on
    assert asked == ["outer", "inner"]


def test_a_table_worked_out_anew_that_says_the_same_counts_as_the_last() -> None:
    last, first = Remembered(), pd.DataFrame({"said": [frozenset({"zinc"}), None]})
    with last.turned() as known:
        assert known.alike("hulls", first) is first
    with last.turned() as known:
        assert known.alike("hulls", first.copy()) is first
        other = first.assign(said=[frozenset({"aluminium"}), None])
        assert known.alike("another", other) is other
    with last.turned() as known:
        assert known.alike("hulls", other) is other
