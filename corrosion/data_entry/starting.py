"""Starting a fleet in an empty folder: one mooring, one layout and its hulls, in one go."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pandas as pd

from corrosion.common import LogRefused
from corrosion.data_entry.arrangements import layout_rows
from corrosion.data_entry.cells import row_of
from corrosion.data_entry.drafts import Draft, Row
from corrosion.records import LOGS, Settings, log_files


def has_logs(folder: Path) -> bool:
    """Tell whether a folder holds any log; one that cannot be opened is taken for a fleet."""
    try:
        return any(log_files(folder, log) for log in LOGS)
    except LogRefused:
        return True


def first_rows(
    texts: dict[str, str], layout: str, typed: pd.DataFrame, settings: Settings
) -> Draft:
    """The rows that a fleet begins with.

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

    Returns
    -------
    Draft
        A mooring, the places of the layout, each hull and its berth.
    """
    parts = [row_of("moorings", texts, settings), layout_rows(layout, typed, settings)]
    hulls = hulls_named(texts.get("hull_id", ""))
    for hull_id in hulls or [""]:
        hull = {**texts, "hull_id": hull_id, "layout": layout}
        hull["in_service"] = texts.get("since", "")
        parts += [row_of("hulls", hull, settings), row_of("berths", hull, settings)]
    rows: list[Row] = [row for part in parts for row in part.rows]
    wrong = list(dict.fromkeys(sentence for part in parts for sentence in part.wrong))
    twice = [hull_id for at, hull_id in enumerate(hulls) if hull_id in hulls[:at]]
    wrong += [f"{hull_id} stands among the hulls twice." for hull_id in dict.fromkeys(twice)]
    return replace(Draft(tuple(rows)), wrong=tuple(wrong))


def hulls_named(text: str) -> list[str]:
    """Take the hulls out of a text that has commas, semicolons or new lines between them."""
    return [hull_id for part in re.split(r"[,;\n]", text) if (hull_id := " ".join(part.split()))]
