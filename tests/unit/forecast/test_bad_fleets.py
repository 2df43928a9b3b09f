"""A bad folder gives a refusal that says what to do, or a smaller honest answer; nothing else."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest

from corrosion.common.errors import LogMissing, LogRefused, Refusal, TooLittle
from corrosion.forecast.appraisal import Appraisal, appraise
from tests.fleets import FleetLogs, usual_fleet, write_table

pytestmark = pytest.mark.slow

ON = "2031-06-01"


def used(hulls: int = 2) -> FleetLogs:
    """Hulls out every third day, each anode read once."""
    fleet = usual_fleet(hulls)
    for number in range(1, hulls + 1):
        for day in pd.date_range("2031-04-05", periods=16, freq="3D"):
            fleet.outing(f"H{number}", f"{day:%Y-%m-%d} 09:00")
        fleet.reading(f"H{number}", "pencil", "2031-05-10", 8.4)
        fleet.reading(f"H{number}", "plate", "2031-05-10", 14.4)
    return fleet


def answered(fleet: FleetLogs, folder: Path) -> Appraisal:
    """The answer on a fleet, having looked that every chance is one."""
    appraisal = appraise(fleet.write(folder), ON)
    forecast = appraisal.forecast
    judged = forecast.anodes["risk"].notna().to_numpy(bool)
    for chance in (forecast.chance[judged], forecast.hull_chance):
        assert np.isfinite(chance).all()
        assert ((chance > 0) & (chance < 1)).all()
    assert not set(forecast.hulls["hull_id"]) & set(forecast.not_judged["hull_id"])
    return appraisal


def without(fleet: FleetLogs, *logs: str) -> FleetLogs:
    for log in logs:
        fleet.rows[log] = []
    return fleet


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogMissing, match="hulls"):
        appraise(tmp_path, ON)


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="nowhere"):
        appraise(tmp_path / "nowhere", ON)


@pytest.mark.parametrize("log", ["hulls", "moorings", "berths", "anode_positions"])
def test_a_missing_register_is_refused_by_its_name(tmp_path: Path, log: str) -> None:
    with pytest.raises(Refusal, match=log):
        appraise(without(used(), log).write(tmp_path), ON)


def test_a_wrong_column_type_is_refused_by_log_and_column(tmp_path: Path) -> None:
    used().write(tmp_path)
    rows = {"hull_id": ["H1"], "position": ["pencil"], "read_at": ["soon"], "size_mm": [8.0]}
    write_table(tmp_path, "readings", pa.table(rows), "late.parquet")
    with pytest.raises(LogRefused, match=r"readings.*read_at"):
        appraise(tmp_path, ON)


def test_a_truncated_file_is_refused_by_its_name(tmp_path: Path) -> None:
    path = used().write(tmp_path) / "readings" / "part-0.parquet"
    path.write_bytes(path.read_bytes()[:200])
    with pytest.raises(LogRefused, match=r"part-0\.parquet"):
        appraise(tmp_path, ON)


def test_text_called_parquet_is_refused_by_its_name(tmp_path: Path) -> None:
    used().write(tmp_path)
    (tmp_path / "flushes").mkdir()
    (tmp_path / "flushes" / "typed.parquet").write_text("hull_id,flushed_at\nH1,2031-05-01\n")
    with pytest.raises(LogRefused, match=r"typed\.parquet"):
        appraise(tmp_path, ON)


def test_a_fleet_of_which_every_hull_is_retired_is_too_little(tmp_path: Path) -> None:
    fleet = used()
    for row in fleet.rows["hulls"]:
        row["retired"] = "2031-05-15"
    with pytest.raises(TooLittle, match="no hull is in service"):
        appraise(fleet.write(tmp_path), ON)


def test_hulls_without_any_berth_on_record_are_too_little(tmp_path: Path) -> None:
    fleet = used()
    for row in fleet.rows["berths"]:
        row["hull_id"] = "H9"
    with pytest.raises(TooLittle, match="berths"):
        appraise(fleet.write(tmp_path), ON)


def test_a_layout_without_positions_is_too_little_where_no_hull_has_another(tmp_path: Path) -> None:
    fleet = used()
    for row in fleet.rows["hulls"]:
        row["layout"] = "unheard-of"
    with pytest.raises(TooLittle, match="anode_positions"):
        appraise(fleet.write(tmp_path), ON)


def test_neither_fittings_nor_readings_is_too_little(tmp_path: Path) -> None:
    with pytest.raises(TooLittle, match="readings, fittings"):
        appraise(without(used(), "fittings", "readings").write(tmp_path), ON)


# ---- smaller, honest answers ---------------------------------------------------------------


def _years_gap(fleet: FleetLogs) -> FleetLogs:
    for log, time in (("outings", "started"), ("readings", "read_at")):
        for row in fleet.rows[log]:
            row[time] = row[time].replace("2031", "2030")
            if log == "outings":
                row["ended"] = row["ended"].replace("2031", "2030")
    for row in fleet.rows["berths"]:
        row["since"] = "2030-04-01"
    for row in fleet.rows["hulls"]:
        row["in_service"] = "2030-04-01"
    for row in fleet.rows["fittings"]:
        row["fitted_at"] = "2030-04-01"
    return fleet


def _one_reading(fleet: FleetLogs) -> FleetLogs:
    fleet.rows["readings"] = fleet.rows["readings"][:1]
    return fleet


def _all_set_aside(fleet: FleetLogs) -> FleetLogs:
    for row in fleet.rows["readings"]:
        row["size_mm"] = 400.0
    return fleet


def _fresh_only(fleet: FleetLogs) -> FleetLogs:
    for row in fleet.rows["berths"]:
        row["mooring_id"] = "L"
    return fleet


SMALL: dict[str, Callable[[], FleetLogs]] = {
    "one hull": lambda: used(1),
    "no readings": lambda: without(used(), "readings"),
    "no outings": lambda: without(used(), "outings"),
    "neither outings nor readings": lambda: without(used(), "outings", "readings"),
    "every reading set aside": lambda: _all_set_aside(used()),
    "fresh water only": lambda: _fresh_only(used()),
    "a year without a row": lambda: _years_gap(used()),
    "one reading": lambda: _one_reading(used()),
    "no fitting": lambda: without(used(), "fittings"),
    "verdicts only": lambda: without(used(), "readings").reading(
        "H1", "pencil", "2031-05-10", verdict="ok"
    ),
    "ranges by eye only": lambda: without(used(), "readings", "fittings").reading(
        "H1", "pencil", "2031-05-10", size_low_mm=7.0, size_high_mm=8.0
    ),
}


@pytest.mark.parametrize("what", SMALL)
def test_little_on_record_still_gives_chances_for_every_hull_with_an_anode(
    tmp_path: Path, what: str
) -> None:
    fleet = SMALL[what]()
    forecast = answered(fleet, tmp_path).forecast
    named = set(forecast.hulls["hull_id"]) | set(forecast.not_judged["hull_id"])
    assert named == {row["hull_id"] for row in fleet.rows["hulls"]}
    assert len(forecast.hulls) >= 1


def test_readings_that_were_set_aside_are_counted(tmp_path: Path) -> None:
    findings = answered(_all_set_aside(used()), tmp_path).checked.findings
    aside = findings[(findings["log"] == "readings") & (findings["severity"] == "set-aside")]
    assert aside["rows"].sum() == 4


def test_one_hull_without_a_berth_is_named_and_the_other_judged(tmp_path: Path) -> None:
    fleet = used()
    del fleet.rows["berths"][0]
    forecast = answered(fleet, tmp_path).forecast
    assert list(forecast.hulls["hull_id"]) == ["H2"]
    assert list(forecast.not_judged["hull_id"]) == ["H1"]
    assert "berth" in forecast.not_judged["reason"][0]


def test_one_hull_of_an_unknown_layout_is_named_and_the_other_judged(tmp_path: Path) -> None:
    fleet = used()
    fleet.rows["hulls"][0]["layout"] = "unheard-of"
    forecast = answered(fleet, tmp_path).forecast
    assert list(forecast.hulls["hull_id"]) == ["H2"]
    assert "unheard-of" in forecast.not_judged["reason"][0]


def test_an_appraisal_writes_nothing_into_the_folder(tmp_path: Path) -> None:
    folder = used().write(tmp_path / "fleet")

    def listing() -> dict[str, tuple[int, int]]:
        return {str(p): (p.stat().st_size, p.stat().st_mtime_ns) for p in tmp_path.rglob("*")}

    before = listing()
    appraise(folder, ON)
    assert listing() == before
