"""All faults of writing down, in turn; each goes into faultless logs and into the ledger."""

from __future__ import annotations

from collections.abc import Callable

from demo_fleet import misentered, misread
from demo_fleet.faults import Logs

_TIMES = {"outings": "ended", "flushes": "flushed_at", "readings": "read_at"}


def double_entries(logs: Logs) -> None:
    """The same row keyed in twice within minutes."""
    for log, count in logs.faults.doubles:
        known = logs.during(log, _TIMES[log], (5, 420))
        for index in logs.some(log, known, count):
            row = logs.row(log, index)
            again = {**row, "entered_at": logs.later(row["entered_at"], 0.0, 0.1)}
            (entry,) = logs.append(log, [again])
            logs.ledger.note_row(
                "double-entry", log, {**row, "entry_id": entry}, "entered twice",
                first_at=row[_TIMES[log]], truth=f"the same as {row['entry_id']}",
            )  # fmt: skip


TRAPS: tuple[Callable[[Logs], None], ...] = (
    misread.crusts,
    misread.unrecorded_changes,
    misentered.meters,
    misentered.unknown_hours,
    misentered.hours_times_ten,
    misread.lost_points,
    misread.inch_sheet,
    misentered.local_times,
    misentered.bulk_flushes,
    misentered.silent_fortnight,
    misread.mistyped_and_corrected,
    misentered.voided_outings,
    double_entries,
)
"""In an order in which none undoes another."""


def set_traps(logs: Logs) -> None:
    """Put every fault into the logs."""
    for trap in TRAPS:
        trap(logs)
