"""Faults in what the dock wrote down: outings and flushes."""

from __future__ import annotations

import numpy as np
import pandas as pd

from demo_fleet.faults import Logs
from demo_fleet.writing import LOCAL_FILES


def hours_times_ten(logs: Logs) -> None:
    """A lost decimal point: more engine hours than the outing lasted."""
    outings = logs.tables["outings"]
    for index in logs.some("outings", outings["engine_hours"] > 1.2, logs.faults.hours_times_ten):
        row = logs.row("outings", index)
        written = round(float(str(row["engine_hours"])) * 10, 1)
        outings.loc[index, "engine_hours"] = written
        logs.ledger.note_row(
            "hours-longer-than-outing", "outings", row, "decimal point lost in engine_hours",
            first_at=row["ended"], as_written=written, truth=row["engine_hours"],
        )  # fmt: skip


def unknown_hours(logs: Logs) -> None:
    """Nobody read the hour meter: engine hours not known. No fault, but a gap."""
    outings = logs.tables["outings"]
    chosen = logs.some(
        "outings",
        outings["engine_hours"] > 0,
        round(len(outings) * logs.faults.unknown_hours_share),
    )
    for index in chosen:
        logs.ledger.note_row(
            "hours-unknown", "outings", logs.row("outings", index), "meter not read",
            first_at=outings.loc[index, "ended"], truth=outings.loc[index, "engine_hours"],
        )  # fmt: skip
    outings.loc[chosen, ["engine_hours", "meter_hours"]] = np.nan


def local_times(logs: Logs) -> None:
    """One mooring's tablet writes the harbour clock with no zone; read rightly it does no harm."""
    outings = logs.tables["outings"]
    tablet = logs.at_mooring("outings", "ended", logs.faults.local_mooring)
    tablet &= logs.during("outings", "ended", logs.faults.local_days)
    if not tablet.any():
        return
    outings.loc[tablet, "_file"] = LOCAL_FILES[0]
    rows = outings[tablet]
    logs.ledger.note(
        "local-times", "outings", f"{len(rows)} rows with times of the harbour clock, no zone",
        mooring_id=logs.faults.local_mooring, first_at=rows["ended"].min(),
        last_at=rows["ended"].max(), truth=f"outings/{LOCAL_FILES[0]}.parquet is local time",
    )  # fmt: skip


def bulk_flushes(logs: Logs) -> None:
    """Four weeks of "flush all" ticked at 18:00 on weekdays, in place of what was done."""
    faults, flushes = logs.faults, logs.tables["flushes"]
    there = logs.at_mooring("flushes", "flushed_at", faults.bulk_mooring)
    there &= logs.during("flushes", "flushed_at", faults.bulk_days)
    if not there.any():
        return
    logs.tables["flushes"] = flushes[~there].reset_index(drop=True)
    days = np.arange(*faults.bulk_days)
    at = logs.world.calendar.stamps(
        logs.world.calendar.hours(days[logs.world.calendar.weekday(days) < 5], 18.0)
    )
    hulls = [t.hull.hull_id for t in logs.truths if t.hull.mooring_id == faults.bulk_mooring]
    same = {"minutes": np.nan, "done": "yes", "method": None, "entered_by": "dock, late shift"}
    rows: list[dict[str, object]] = [
        {"hull_id": h, "flushed_at": t, **same, "entered_at": t, "_file": _month(logs, t)}
        for t in at
        for h in hulls
    ]
    for entry, row in zip(logs.append("flushes", rows), rows, strict=True):
        logs.ledger.note_row(
            "flush-all-at-18", "flushes", {**row, "entry_id": entry},
            "ticked for every hull at once; the true flushes of these weeks are not in the log",
            first_at=row["flushed_at"], truth="not a flush that somebody did",
        )  # fmt: skip


def _month(logs: Logs, at: pd.Timestamp) -> str:
    return str(at.tz_convert(logs.world.scenario.timezone).strftime("%Y-%m"))


def silent_fortnight(logs: Logs) -> None:
    """Flushing went on, but nobody wrote it down for two weeks."""
    faults, flushes = logs.faults, logs.tables["flushes"]
    gone = logs.at_mooring("flushes", "flushed_at", faults.silent_mooring)
    gone &= logs.during("flushes", "flushed_at", faults.silent_days)
    first, last = logs.world.calendar.stamps(
        logs.world.calendar.hours(list(faults.silent_days), 0.0)
    )
    logs.tables["flushes"] = flushes[~gone].reset_index(drop=True)
    logs.ledger.note(
        "no-flush-log", "flushes", f"{int(gone.sum())} rows never written",
        mooring_id=faults.silent_mooring, first_at=first, last_at=last,
        truth="flushed as at other times",
    )  # fmt: skip


def meters(logs: Logs) -> None:
    """One hour meter set back to zero, one that stood still for three weeks."""
    outings = logs.tables["outings"]
    hull, day = logs.faults.meter_reset
    after = (outings["hull_id"] == hull) & logs.during("outings", "ended", (day, 10**3))
    stuck_hull, first, last = logs.faults.meter_stuck
    still = (outings["hull_id"] == stuck_hull) & logs.during("outings", "ended", (first, last))
    for fault, rows in (("meter-reset", after), ("meter-stuck", still)):
        if not rows.any():
            continue
        index = int(np.flatnonzero(rows.to_numpy())[0])
        row = logs.row("outings", index)
        reading = float(str(row["meter_hours"]))
        if fault == "meter-reset":
            base = reading - float(str(row["engine_hours"]))
            outings.loc[rows, "meter_hours"] = (outings.loc[rows, "meter_hours"] - base).round(1)
        else:
            outings.loc[rows, "meter_hours"] = reading
        logs.ledger.note_row(
            fault, "outings", row, f"from this row on, {int(rows.sum())} rows",
            first_at=row["ended"], last_at=outings.loc[rows, "ended"].max(), truth=reading,
        )  # fmt: skip


def voided_outings(logs: Logs) -> None:
    """Outings entered against the wrong hull, then declared void. All is well."""
    outings = logs.tables["outings"].assign(
        corrects=pd.Series(dtype=object), void=pd.Series(dtype="boolean")
    )
    logs.tables["outings"] = outings
    hulls = sorted({t.hull.hull_id for t in logs.truths})
    late = outings["entered_by"].eq("dock, late shift") & outings["engine_hours"].notna()
    for index in logs.some(
        "outings", late & logs.during("outings", "ended", (30, 190)), logs.faults.voided
    ):
        row = logs.row("outings", index)
        other = hulls[(hulls.index(str(row["hull_id"])) + 1) % len(hulls)]
        wrong = {**row, "hull_id": other, "meter_hours": np.nan}
        (entry,) = logs.append("outings", [wrong])
        undo = {**wrong, "corrects": entry, "void": True,
                "entered_at": logs.later(row["entered_at"], 1, 12)}  # fmt: skip
        (undoing,) = logs.append("outings", [undo])
        logs.ledger.note_row(
            "voided", "outings", {**wrong, "entry_id": entry}, f"declared void by {undoing}",
            first_at=row["ended"], truth=f"{row['hull_id']} went out, not {other}",
        )  # fmt: skip
