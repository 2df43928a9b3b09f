"""Logs with holes: neither an empty log nor a column unknown throughout stops the check."""

from dataclasses import replace

import pandas as pd
import pytest

from corrosion.common import Remembered
from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import Logbook, read_fleet
from corrosion.records.logs import LOGS
from tests.unit.records.checked import ON, looked, resized, sound_fleet

pytestmark = pytest.mark.slow

COLUMNS = [(log, column.name) for log in LOGS.values() for column in log]


@pytest.fixture(scope="module")
def logbook(tmp_path_factory: pytest.TempPathFactory) -> Logbook:
    fleet = resized(sound_fleet(), 5, 8.0, removed=True).fitting("H1", "pencil", looked(5))
    fleet.booking("H1", "2031-07-01 09:00", "2031-07-01 11:00", engine_hours=1.5)
    return read_fleet(fleet.write(tmp_path_factory.mktemp("fleet")), on=ON)


@pytest.fixture(scope="module")
def last() -> Remembered:
    """What rules said of the tables that stay as they are: only those that look at a hole ask."""
    return Remembered()


def check(logbook: Logbook, last: Remembered) -> Checked:
    with last.turned() as run:
        return check_logs(logbook, remembered=run)


def with_table(logbook: Logbook, log: str, rows: pd.DataFrame) -> Logbook:
    return replace(logbook, tables={**logbook.tables, log: rows})


@pytest.mark.parametrize("log", list(LOGS))
def test_an_empty_log_stops_nothing(logbook: Logbook, last: Remembered, log: str) -> None:
    result = check(with_table(logbook, log, logbook.tables[log].iloc[:0]), last)
    assert result.tables[log].empty
    assert len(result.tables) == len(LOGS)


@pytest.mark.parametrize(("log", "column"), COLUMNS, ids=[f"{log.name}-{c}" for log, c in COLUMNS])
def test_a_column_unknown_throughout_stops_nothing(
    logbook: Logbook, last: Remembered, log, column: str
) -> None:
    read = logbook.tables[log.name]
    unknown = pd.Series(None, index=read.index, dtype=read[column].dtype)
    result = check(with_table(logbook, log.name, read.assign(**{column: unknown})), last)
    believed = result.tables[log.name]
    aside = result.objections[result.objections["log"] == log.name]
    aside = aside[aside["severity"] == "set-aside"]
    assert len(believed) + aside["log_row"].nunique() >= len(read)
