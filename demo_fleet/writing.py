"""Tables to disk: one folder per log, several files in most, and fleet.toml."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq

from demo_fleet.desk import Tables
from demo_fleet.scenario import Scenario

OFF_DISK = ("_file", "true_size_mm", "crust_mm", "life")
"""Columns that are not part of the logs."""

LOCAL_FILES = ("2030-08-lagoon-tablet",)
"""Files whose times are written without a zone, as the harbour clock showed them."""


def _log_table(table: pd.DataFrame, timezone: str, local: bool) -> pa.Table:
    """The columns of a log; with ``local``, times as the harbour clock showed them."""
    out = table.drop(columns=[c for c in OFF_DISK if c in table])
    for column in out.select_dtypes("datetimetz") if local else ():
        out[column] = out[column].dt.tz_convert(timezone).dt.tz_localize(None)
    return arrow_table(out)


def arrow_table(table: pd.DataFrame) -> pa.Table:
    """An Arrow table with plain column types and no pandas notes in it."""
    out = table.copy()
    for column in out.select_dtypes(["datetimetz", "datetime"]):
        out[column] = out[column].dt.as_unit("us")
    kinds = pd.api.types
    for column in out:
        if kinds.is_object_dtype(out[column]) or kinds.is_string_dtype(out[column]):
            out[column] = out[column].astype("string")
    made = pa.Table.from_pandas(out, preserve_index=False)
    # one kind of text, whichever pandas wrote it
    plain = [
        field.with_type(pa.string()) if pa.types.is_large_string(field.type) else field
        for field in made.schema
    ]
    return made.cast(pa.schema(plain))


def in_file_order(table: pd.DataFrame) -> pd.DataFrame:
    """Rows as they are read back: files in name order, rows of a file as entered."""
    entered = ["_name", "entered_at"] if "entered_at" in table else ["_name"]
    named = table.assign(_name=table["_file"] + ".parquet")
    return named.sort_values(entered, kind="stable", ignore_index=True).drop(columns="_name")


def write_table(table: pa.Table, path: Path) -> None:
    """One Parquet file, compressed."""
    pq.write_table(table, path, compression="zstd", compression_level=9, write_statistics=False)


def _clear(folder: Path) -> None:
    for old in folder.glob("*.parquet"):
        old.unlink()


def write_logs(folder: Path, tables: Tables, scenario: Scenario) -> None:
    """Write every log below the folder, in place of those that were there."""
    for log, table in tables.items():
        log_folder = folder / log
        log_folder.mkdir(parents=True, exist_ok=True)
        _clear(log_folder)
        for name, rows in in_file_order(table).groupby("_file", sort=True):
            local = str(name) in LOCAL_FILES
            write_table(_log_table(rows, scenario.timezone, local), log_folder / f"{name}.parquet")
    (folder / "fleet.toml").write_text(settings_text(scenario), encoding="utf-8")


def settings_text(scenario: Scenario) -> str:
    """The text of fleet.toml."""
    lines = [
        f'name = "{scenario.name}"',
        f'timezone = "{scenario.timezone}"',
        f'currency = "{scenario.currency}"',
        'length_unit = "mm"',
        "simulated = true",
        f"tolerated_risk = {scenario.tolerated_risk}",
        f"wage_per_hour = {scenario.wage_per_hour}",
        f"flush_minutes = {scenario.flush_minutes}",
    ]
    for bay in scenario.bays:
        weekdays = ", ".join(f'"{day}"' for day in bay.weekdays)
        lines += [
            "",
            "[[bays]]",
            f'mooring_id = "{bay.mooring_id}"',
            f"weekdays = [{weekdays}]",
            f"hulls_per_day = {bay.hulls_per_day}",
            f"hours_per_day = {bay.hours_per_day}",
        ]
    lines += ["", "[stock]", *(f'"{part}" = {count}' for part, count in scenario.stock)]
    lines += ["", "[hires]", f"move_cost = {scenario.move_cost}", "", "[express]"]
    lines += [
        f'"{part}" = {{ days = {days}, cost = {cost} }}' for part, days, cost in scenario.couriers
    ]
    return "\n".join(lines) + "\n"
