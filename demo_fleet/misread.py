"""Faults in what the workshop wrote down: readings and fittings."""

from __future__ import annotations

import numpy as np
import pandas as pd

from demo_fleet.faults import Logs


def unrecorded_changes(logs: Logs) -> None:
    """The new anode is in, but neither its fitting nor the old one's removal is written."""
    fittings = logs.tables["fittings"]
    changes = (fittings["life"] > 1) & fittings["alloy"].ne("magnesium")
    count = round(logs.faults.unrecorded_share * int(changes.sum()))
    chosen = logs.some("fittings", changes & logs.during("fittings", "fitted_at", (20, 400)), count)
    readings = logs.tables["readings"]
    for index in chosen:
        row = logs.row("fittings", index)
        old = (readings["hull_id"] == row["hull_id"]) & (readings["position"] == row["position"])
        gap = pd.Timestamp(str(row["fitted_at"])) - readings["read_at"]
        same = old & (gap >= pd.Timedelta(0)) & (gap <= pd.Timedelta(hours=2))
        readings.loc[same, "removed"] = pd.NA
        logs.ledger.note(
            "unrecorded-change", "fittings", "a new anode went in and nobody wrote it down",
            hull_id=row["hull_id"], position=row["position"], first_at=row["fitted_at"],
            truth=f"fitted, life {row['life']}",
        )  # fmt: skip
        life = next(
            life for record in logs.records for life in record.lives
            if (life.hull_id, life.position.position, life.number)
            == (row["hull_id"], row["position"], row["life"])
        )  # fmt: skip
        life.written = False
    logs.tables["fittings"] = fittings.drop(index=chosen).reset_index(drop=True)


def lost_points(logs: Logs) -> None:
    """Caliper readings ten times too large."""
    readings = logs.tables["readings"]
    late = readings["size_mm"].notna() & logs.during("readings", "read_at", (140, 420))
    for index in logs.some("readings", late, logs.faults.lost_points):
        row = logs.row("readings", index)
        written = round(float(str(row["size_mm"])) * 10, 1)
        readings.loc[index, "size_mm"] = written
        logs.ledger.note_row(
            "lost-decimal-point", "readings", row, "decimal point lost in size_mm",
            first_at=row["read_at"], as_written=written, truth=row["size_mm"],
        )  # fmt: skip


def inch_sheet(logs: Logs) -> None:
    """A batch kept on a spreadsheet, sizes in inches, handed in days later."""
    readings, faults = logs.tables["readings"], logs.faults
    batch = logs.at_mooring("readings", "read_at", faults.inch_mooring)
    batch &= logs.during("readings", "read_at", faults.inch_days)
    if not batch.any():
        return
    handed_in = logs.world.calendar.stamps(
        logs.world.calendar.hours([faults.inch_days[1] + 2], 11.0)
    )[0]
    sizes = ["size_mm", "size_low_mm", "size_high_mm"]
    for index in np.flatnonzero((batch & readings[sizes].notna().any(axis=1)).to_numpy()):
        row = logs.row("readings", int(index))
        millimetres = row["size_mm"] if row["size_mm"] == row["size_mm"] else row["size_low_mm"]
        logs.ledger.note_row(
            "inches", "readings", row, "a spreadsheet in inches; multiply by 25.4",
            first_at=row["read_at"], as_written=round(float(str(millimetres)) / 25.4, 3),
            truth=millimetres,
        )  # fmt: skip
    readings.loc[batch, sizes] = (readings.loc[batch, sizes] / 25.4).round(3)
    readings.loc[batch, ["_file", "entered_by"]] = [faults.inch_file, "spreadsheet"]
    readings.loc[batch, "entered_at"] = handed_in


def mistyped_and_corrected(logs: Logs) -> None:
    """Sizes typed wrongly and put right next day by a row that corrects them. All is well."""
    readings = logs.tables["readings"].assign(corrects=pd.Series(dtype=object))
    logs.tables["readings"] = readings
    usable = readings["size_mm"].between(4.0, 20.0) & logs.during("readings", "read_at", (0, 420))
    for index in logs.some("readings", usable, logs.faults.mistyped_and_corrected):
        row = logs.row("readings", index)
        wrong = round(float(str(row["size_mm"])) + float(logs.rng.choice([-3.0, 3.0, 10.0])), 2)
        logs.tables["readings"].loc[index, "size_mm"] = wrong
        later = {**row, "corrects": row["entry_id"],
                 "entered_at": logs.later(row["entered_at"], 16, 30)}  # fmt: skip
        (entry,) = logs.append("readings", [later])
        logs.ledger.note_row(
            "corrected", "readings", row, f"put right by {entry}", first_at=row["read_at"],
            as_written=wrong, truth=row["size_mm"],
        )  # fmt: skip


def crusts(logs: Logs) -> None:
    """Readings over crust: too large by what the caliper could not see."""
    readings = logs.tables["readings"]
    for index in np.flatnonzero((readings["crust_mm"] > 0).to_numpy()):
        row = logs.row("readings", int(index))
        logs.ledger.note_row(
            "crust", "readings", row, "not brushed before it was measured",
            first_at=row["read_at"], as_written=row["size_mm"],
            truth=round(float(str(row["true_size_mm"])), 2),
        )  # fmt: skip
