"""Starting a fleet: a mooring, a layout and its hulls, in one go; what is there already is kept."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pandas as pd

from corrosion.common import LogRefused, Refusal
from corrosion.data_entry.arrangements import layout_rows
from corrosion.data_entry.cells import row_of
from corrosion.data_entry.drafts import Draft, Row
from corrosion.records import A_FOLDER, LOGS, Logbook, Settings, Writer, logs_needed

REGISTERS = tuple(name for name, log in LOGS.items() if log.needed)
"""The logs without which nothing can be said of a fleet."""


@dataclass(frozen=True)
class Begun:
    """What a folder holds of a fleet that is not whole yet.

    Attributes
    ----------
    missing : tuple of str
        Registers that are still to be written, of `REGISTERS`.
    moorings, hulls, layouts, positions : tuple of str
        What they are called in the registers; what no register holds yet, as the other logs call
        it.
    rows : tuple of (str, int)
        Log and the rows that stand in it; only logs that hold any.
    since : date or None
        The day of the oldest event, by the fleet's clock.
    """

    missing: tuple[str, ...] = REGISTERS
    moorings: tuple[str, ...] = ()
    hulls: tuple[str, ...] = ()
    layouts: tuple[str, ...] = ()
    positions: tuple[str, ...] = ()
    rows: tuple[tuple[str, int], ...] = ()
    since: date | None = None


NOTHING_BEGUN = Begun()
"""An empty folder."""


def logs_to_start(folder: Path) -> tuple[str, ...]:
    """Name the registers that are still to be written; none where a log cannot be opened."""
    try:
        return logs_needed(folder)
    except LogRefused:
        return ()


def what_is_begun(logbook: Logbook) -> Begun:
    """Tell what a fleet that is not whole yet holds.

    Parameters
    ----------
    logbook : Logbook
        Read with `is_begun_only`.

    Returns
    -------
    Begun
    """
    return Begun(
        logs_needed(logbook.folder),
        _names(logbook, "mooring_id", "moorings"),
        _names(logbook, "hull_id", "hulls"),
        _names(logbook, "layout", "anode_positions", "hulls"),
        _names(logbook, "position", "anode_positions"),
        tuple((log, len(rows)) for log, rows in logbook.tables.items() if len(rows)),
        _oldest(logbook),
    )


def _oldest(logbook: Logbook) -> date | None:
    times = [
        logbook.tables[name][log.event_time].min() for name, log in LOGS.items() if log.event_time
    ]
    known = [moment for moment in times if not pd.isna(moment)]
    return min(known).astimezone(logbook.settings.timezone).date() if known else None


def _names(logbook: Logbook, column: str, *registers: str) -> tuple[str, ...]:
    """What a column names in its register, or wherever else it stands; sorted."""
    held = [logbook.tables[log] for log in registers if len(logbook.tables[log])]
    held = held[:1] or [rows for rows in logbook.tables.values() if column in rows]
    return tuple(sorted({str(name) for rows in held for name in rows[column].dropna()}))


def first_rows(
    texts: dict[str, str],
    layout: str,
    typed: pd.DataFrame,
    settings: Settings,
    begun: Begun = NOTHING_BEGUN,
    waters: Mapping[str, str] | None = None,
) -> Draft:
    """The rows that a fleet begins with: those of the registers that are missing, and no others.

    Parameters
    ----------
    texts : dict of str to str
        mooring_id, water, hull_id (several with commas between), stays and since, as typed.
    layout : str
        Name of the layout.
    typed : DataFrame
        Its places, as `layout_rows` takes them.
    settings : Settings
        Unit of lengths and zone.
    begun : Begun, optional
        What is there already; hulls of a register get their berth. Default: nothing.
    waters : mapping of str to str, optional
        Water of each mooring that is to be written; default: `texts` names one mooring.

    Returns
    -------
    Draft
        A mooring, the places of the layout, each hull and its berth.
    """
    missing = begun.missing
    parts: list[Draft] = []
    if "moorings" in missing:
        named = waters or {texts.get("mooring_id", ""): texts.get("water", "")}
        parts += [
            row_of("moorings", {"mooring_id": mooring, "water": water}, settings)
            for mooring, water in named.items()
        ]
    if "anode_positions" in missing:
        parts.append(layout_rows(layout, typed, settings))
    typed_hulls = hulls_named(texts.get("hull_id", ""))
    hulls = typed_hulls if "hulls" in missing else list(begun.hulls)
    for hull_id in hulls or [""]:
        hull = {**texts, "hull_id": hull_id, "layout": layout}
        hull["in_service"] = texts.get("since", "")
        parts += [row_of(log, hull, settings) for log in ("hulls", "berths") if log in missing]
    rows: list[Row] = [row for part in parts for row in part.rows]
    wrong = list(dict.fromkeys(sentence for part in parts for sentence in part.wrong))
    twice = [hull_id for at, hull_id in enumerate(hulls) if hull_id in hulls[:at]]
    wrong += [f"{hull_id} stands among the hulls twice." for hull_id in dict.fromkeys(twice)]
    return replace(Draft(tuple(rows)), wrong=tuple(wrong))


def make_folder(folder: Path, by: Writer) -> None:
    """Make the folder that a fleet is to live in; one that is there is left as it is.

    Raises
    ------
    Refusal
        The disk would not make it, or whoever starts the fleet may not.
    """
    by.require(folder, A_FOLDER)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refusal(f"{folder}: cannot be made or opened ({error.strerror}).") from error


def hulls_named(text: str) -> list[str]:
    """Take the hulls out of a text that has commas, semicolons or new lines between them."""
    return [hull_id for part in re.split(r"[,;\n]", text) if (hull_id := " ".join(part.split()))]
