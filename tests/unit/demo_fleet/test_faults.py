"""Faults that are planted in the demo fleet's logs are on its sheet, and the checks find them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from demo_fleet.ledger import Ledger
from demo_fleet.maker import Fleet

pytestmark = pytest.mark.slow

HOME = Path(__file__).parents[3] / "demo_fleet"


@pytest.fixture(scope="module")
def faults(fleet: Fleet) -> pd.DataFrame:
    return fleet.ledger.table(fleet.tables)


@pytest.fixture(scope="module")
def checked() -> Checked:
    return check_logs(read_fleet(HOME / "logs"))


def test_every_kind_of_fault_is_on_the_sheet(faults: pd.DataFrame) -> None:
    assert set(faults["fault"]) == {
        *("corrected", "crust", "double-entry", "flush-all-at-18", "hours-longer-than-outing"),
        *("hours-unknown", "inches", "local-times", "lost-decimal-point", "meter-reset"),
        *("meter-stuck", "moved", "no-flush-log", "painted", "sold", "stray-current", "unread"),
        *("unrecorded-change", "voided", "wrong-alloy"),
    }


def test_every_fault_points_at_its_row_on_disk(faults: pd.DataFrame) -> None:
    logbook = read_fleet(HOME / "logs")
    for log, rows in faults.dropna(subset=["log_row"]).groupby("log"):
        there = logbook.history[str(log)].set_index("log_row").loc[rows["log_row"].astype(int)]
        assert list(there["entry_id"]) == list(rows["entry_id"])
        assert list(there["log_file"]) == list(rows["log_file"])


def test_the_ledger_refuses_a_column_that_it_has_not() -> None:
    with pytest.raises(TypeError, match="no such columns in the ledger: \\['colour'\\]"):
        Ledger().note("painted", "readings", "told", colour="red")


def test_readings_differ_from_the_truth_by_no_more_than_people_err(
    fleet: Fleet, faults: pd.DataFrame
) -> None:
    readings = fleet.tables["readings"]
    sound = readings[~readings["entry_id"].isin(faults["entry_id"])]
    error = (sound["size_mm"] - sound["true_size_mm"]).dropna()
    assert 0.10 < error.std() < 0.17
    assert abs(error.mean()) < 0.015


def test_unrecorded_changes_are_three_to_six_in_a_hundred(fleet: Fleet) -> None:
    changes = [life for r in fleet.records for life in r.lives if life.number > 1]
    assert 0.03 <= np.mean([not life.written for life in changes]) <= 0.06


@pytest.mark.parametrize(
    ("fault", "severity"),
    [
        ("double-entry", "set-aside"),
        ("hours-longer-than-outing", "set-aside"),
        ("lost-decimal-point", "set-aside"),
        ("inches", "set-aside"),
    ],
)
def test_rows_that_cannot_be_true_are_set_aside(
    checked: Checked, faults: pd.DataFrame, fault: str, severity: str
) -> None:
    wanted = faults[(faults["fault"] == fault) & faults["log_row"].notna()]
    objections = checked.objections[checked.objections["severity"] == severity]
    met = wanted.merge(objections, on=["log", "log_row"], how="left")
    missed = met.loc[met["rule"].isna(), "entry_id"]
    assert len(wanted) > 0
    assert missed.empty, f"{fault}: not set aside: {list(missed)}"


def test_corrections_stand_and_void_rows_do_not(faults: pd.DataFrame) -> None:
    logbook = read_fleet(HOME / "logs")
    readings = logbook.readings.set_index("entry_id")
    for wrong in faults[faults["fault"] == "corrected"].itertuples():
        assert wrong.entry_id not in readings.index
        now = readings[readings["corrects"] == wrong.entry_id]["size_mm"]
        assert list(now) == [float(wrong.truth)]
    void = faults[faults["fault"] == "voided"]["entry_id"]
    assert not logbook.outings["entry_id"].isin(void).any()


def test_the_silent_fortnight_and_the_bulk_ticks_are_noticed(
    checked: Checked, faults: pd.DataFrame
) -> None:
    objections = checked.objections.set_index("rule")
    silence = faults[faults["fault"] == "no-flush-log"].iloc[0]
    noticed = objections.loc[["flush-log-silent"], "log_row"]
    ended = checked.logbook.outings.set_index("log_row")["ended"].reindex(noticed)
    assert ended.between(silence["first_at"], silence["last_at"]).sum() > 100
    ticked = set(faults.loc[faults["fault"] == "flush-all-at-18", "log_row"])
    assert ticked <= set(objections.loc["ticked-in-bulk", "log_row"])


def test_most_unrecorded_changes_are_noticed_at_the_next_reading(
    checked: Checked, faults: pd.DataFrame
) -> None:
    rules = ["change-not-recorded", "change-seen-by-eye", "grew"]
    rows = checked.objections.loc[checked.objections["rule"].isin(rules), "log_row"]
    met = checked.logbook.readings.set_index("log_row").loc[rows, ["hull_id", "position"]]
    planted = faults.loc[faults["fault"] == "unrecorded-change", ["hull_id", "position"]]
    noticed = planted.merge(met.drop_duplicates(), on=["hull_id", "position"])
    assert len(noticed) >= 0.75 * len(planted)
