"""A small fleet that nothing can be said against, and how tests ask what was said."""

from pathlib import Path

import pandas as pd

from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs, usual_fleet

ON = "2031-07-01"
WEEKS = 10


def sound_fleet() -> FleetLogs:
    """H1 at the estuary: out and flushed each day, two anodes that lose 0.2 mm between looks."""
    fleet = usual_fleet(1).season("H1", "2031-04-02", 84, flushed=True)
    fleet.sample("E", "2031-04-10 10:00", salinity_g_per_kg=33.0, temperature_c=12.0)
    for week in range(1, WEEKS + 1):
        fleet.reading("H1", "pencil", looked(week), round(9.0 - 0.2 * week, 2))
        fleet.reading("H1", "plate", looked(week), round(15.0 - 0.2 * week, 2))
    return fleet


def looked(week: int) -> str:
    """The moment of that week's looks: mornings, before the hull goes out."""
    return f"{pd.Timestamp('2031-04-01 07:30') + pd.Timedelta(weeks=week)}"


def resized(fleet: FleetLogs, week: int, size_mm: float | None, **cells: object) -> FleetLogs:
    """The same fleet with another size of the pencil in that week."""
    for row in fleet.rows["readings"]:
        if row["position"] == "pencil" and row["read_at"] == looked(week):
            row.update({"size_mm": size_mm} | cells)
    return fleet


def checked(fleet: FleetLogs, folder: Path, files: int = 1, on: str = ON) -> Checked:
    return check_logs(read_fleet(fleet.write(folder, files), on=on))


def said(fleet: FleetLogs, folder: Path) -> dict[tuple[str, str], tuple[str, int]]:
    """Severity and number of rows for each log and rule."""
    findings = checked(fleet, folder).findings
    return {(row.log, row.rule): (row.severity, row.rows) for row in findings.itertuples()}
