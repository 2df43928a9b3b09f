"""What was written down about a hull, entry by entry, with later corrections visible."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting, is_text
from corrosion.records.checks import Checked
from corrosion.records.logbook import Logbook
from corrosion.records.logs import ENTRY, LOGS

EVERYDAY: Final = frozenset({"outings", "flushes", "bookings"})
"""Logs with an entry or more a day, which would bury the rest."""
_TIMES: Final = {
    "fittings": "fitted_at",
    "readings": "read_at",
    "berths": "since",
    "flushes": "flushed_at",
    "outings": "ended",
    "bookings": "starts",
    "meters": "changed_at",
    "engine_swaps": "swapped_at",
}


def hull_history(logbook: Logbook, checked: Checked, hull_id: str) -> pd.DataFrame:
    """List the entries about a hull, newest first, those since corrected or voided included.

    Parameters
    ----------
    logbook : Logbook
        The logs as read, with every row's standing.
    checked : Checked
        What the checks object to.
    hull_id : str
        The hull.

    Returns
    -------
    DataFrame
        One row per entry: `at` (UTC), `log`, `what` (a sentence), `standing` (``stands``,
        ``corrected``, ``voided``), `objection` (rule that sets it aside or doubts it, or
        empty), `entered_at` (UTC), `entered_by`, `note`, `entry_id`, `log_file`, `log_row`.
    """
    unit = logbook.settings.length_unit
    parts = [
        _entries(log, table[table["hull_id"] == hull_id], unit)
        for log, table in logbook.history.items()
        if log in _TIMES
    ]
    entries = pd.concat([part for part in parts if len(part)] or parts[:1], ignore_index=True)
    rules = checked.objections.groupby(["log", "log_row"], as_index=False)["rule"].agg("; ".join)
    entries = entries.merge(rules, on=["log", "log_row"], how="left")
    entries["objection"] = entries.pop("rule").fillna("")
    return entries.sort_values(
        ["at", "log", "log_row"], ascending=False, kind="stable", ignore_index=True
    )


def _entries(log: str, table: pd.DataFrame, unit: str) -> pd.DataFrame:
    says = _SAYS[log]
    return pd.DataFrame(
        {
            "at": table[_TIMES[log]],
            "log": log,
            "what": [says(row, unit) for row in _records(table)],
            "standing": table["standing"],
            "entered_at": _column(table, "entered_at"),
            "entered_by": _column(table, "entered_by"),
            "note": _column(table, "note"),
            "entry_id": _column(table, "entry_id"),
            "log_file": table["log_file"],
            "log_row": table["log_row"],
        }
    )


def tell_entry(log: str, row: dict[str, Any], unit: str) -> str:
    """Say what a row of any log says, in a few words.

    Parameters
    ----------
    log : str
        Which log.
    row : dict
        Its cells, as in the log book.
    unit : {'mm', 'in'}
        Unit of lengths on the screen.

    Returns
    -------
    str
        Without the hull; of a log that has no sentence of its own, the columns that are known.
    """
    if log in _SAYS:
        return _SAYS[log](row, unit)
    columns = [column for column in LOGS[log] if column not in ENTRY and column.name != "hull_id"]
    known = [c for c in columns if not _unknown(row.get(c.name)) and c.kind != "moment"]
    return ", ".join(f"{row[c.name]:g} {c.unit}".strip() if c.kind == "number" else str(row[c.name])
                     for c in known[:4])  # fmt: skip


def _unknown(cell: Any) -> bool:
    return cell is None or bool(pd.isna(cell))


def _records(table: pd.DataFrame) -> list[dict[str, Any]]:
    names = [str(name) for name in table.columns]
    return [dict(zip(names, row, strict=True)) for row in table.itertuples(index=False)]


def _column(table: pd.DataFrame, name: str) -> pd.Series:
    """Give a column, unknown where it is missing; unknown text is empty."""
    column = table.get(name, pd.Series(None, index=table.index, dtype=object))
    return column.fillna("") if is_text(column) else column


def _noted(cell: Any, otherwise: str) -> str:
    return otherwise if _unknown(cell) or not cell else str(cell)


def _fitting(row: dict[str, Any], unit: str) -> str:
    measured = "" if pd.isna(row["size_mm"]) else f", {formatting.size(row['size_mm'], unit)}"
    return f"{row['position']}: new anode fitted{measured}"


def _reading(row: dict[str, Any], unit: str) -> str:
    if not pd.isna(row["size_mm"]):
        seen = formatting.size(row["size_mm"], unit)
    elif not pd.isna(row["size_low_mm"]):
        low, high = (
            formatting.size(row["size_low_mm"], unit),
            formatting.size(row["size_high_mm"], unit),
        )
        seen = f"by eye {low} to {high}"
    else:
        seen = f"looked at, {_noted(row['verdict'], 'nothing noted')}"
    out = ", taken out" if row["removed"] is True else ""
    return f"{row['position']}: {seen}{out}"


def _berth(row: dict[str, Any], _unit: str) -> str:
    return f"lives at {row['mooring_id']}, {row['stays']}"


def _flush(row: dict[str, Any], _unit: str) -> str:
    done = {"no": "not flushed", "could-not": "could not be flushed"}.get(row["done"], "flushed")
    return done if pd.isna(row["minutes"]) else f"{done}, {formatting.number(row['minutes'])} min"


def _outing(row: dict[str, Any], _unit: str) -> str:
    return f"back from an outing, engine {formatting.number(row['engine_hours'])} h"


def _booking(row: dict[str, Any], _unit: str) -> str:
    return f"hire, {formatting.number(row['engine_hours'])} engine h expected"


def _meter(row: dict[str, Any], _unit: str) -> str:
    return f"hour meter {row['event']}"


def _engine(row: dict[str, Any], _unit: str) -> str:
    return f"another engine: {_noted(row['engine'], 'which one is not said')}"


def _sample(row: dict[str, Any], _unit: str) -> str:
    cells = (("salinity_g_per_kg", "g/kg"), ("conductivity_ms_per_cm", "mS/cm"),
             ("temperature_c", "°C"))  # fmt: skip
    seen = [
        f"{formatting.number(row[name])} {unit}" for name, unit in cells if not pd.isna(row[name])
    ]
    return f"water at {row['mooring_id']}: {', '.join(seen) or 'nothing measured'}"


_SAYS: Final[dict[str, Callable[[dict[str, Any], str], str]]] = {
    "fittings": _fitting,
    "readings": _reading,
    "berths": _berth,
    "flushes": _flush,
    "outings": _outing,
    "bookings": _booking,
    "meters": _meter,
    "engine_swaps": _engine,
    "water_samples": _sample,
}
