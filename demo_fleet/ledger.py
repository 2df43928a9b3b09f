"""The list of what is wrong with the logs, or odd in the fleet, and where to see it."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd

from demo_fleet.desk import Tables
from demo_fleet.writing import in_file_order

COLUMNS = (
    "fault", "log", "entry_id", "hull_id", "position", "mooring_id", "first_at", "last_at",
    "as_written", "truth", "told",
)  # fmt: skip


@dataclass
class Ledger:
    """Planted faults, in the order of planting; ``truth`` says what should have stood there."""

    rows: list[dict[str, object]] = field(default_factory=list)

    def note(self, fault: str, log: str, told: str, **known: object) -> None:
        """Write one down; ``known`` may hold any other of the columns."""
        unknown = set(known) - set(COLUMNS)
        if unknown:
            raise TypeError(f"no such columns in the ledger: {sorted(unknown)}")
        self.rows.append({"fault": fault, "log": log, "told": told, **known})

    def note_row(
        self, fault: str, log: str, row: dict[str, object], told: str, **known: object
    ) -> None:
        """Write down one that is a row of a log."""
        same = {c: row[c] for c in ("entry_id", "hull_id", "position", "mooring_id") if c in row}
        self.note(fault, log, told, **same, **known)

    def table(self, tables: Tables) -> pd.DataFrame:
        """
        All faults, with the place of each row on disk.

        Returns
        -------
        DataFrame
            The columns of COLUMNS, ``log_file`` (below the fleet's folder) and ``log_row`` (place
            in the log, files in name order, from 0; unknown where the fault is no single row).
        """
        out = pd.DataFrame(self.rows, columns=list(COLUMNS))
        for column in ("as_written", "truth"):
            out[column] = [None if value is None or value != value else str(value)
                           for value in out[column]]  # fmt: skip
        for column in ("first_at", "last_at"):
            out[column] = pd.to_datetime(out[column], utc=True).dt.as_unit("us")
        places = pd.concat(
            [_places(log, table) for log, table in tables.items() if "entry_id" in table]
        )
        return out.merge(places, on=["log", "entry_id"], how="left", validate="many_to_one")


def _places(log: str, table: pd.DataFrame) -> pd.DataFrame:
    ordered = in_file_order(table)
    return pd.DataFrame(
        {
            "log": log,
            "entry_id": ordered["entry_id"],
            "log_file": log + "/" + ordered["_file"] + ".parquet",
            "log_row": pd.array(range(len(ordered)), dtype="Int64"),
        }
    )
