"""Starting a fleet in an empty folder: one mooring, one layout and the first hull, in one go."""

from __future__ import annotations

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
        mooring_id, water, hull_id, stays and since, as typed.
    layout : str
        Name of the layout.
    typed : DataFrame
        Its places, as `layout_rows` takes them.
    settings : Settings
        Unit of lengths and zone.

    Returns
    -------
    Draft
        A mooring, the places of the layout, a hull and its berth.
    """
    hull = {**texts, "layout": layout, "in_service": texts.get("since", "")}
    parts = [
        row_of("moorings", texts, settings),
        layout_rows(layout, typed, settings),
        row_of("hulls", hull, settings),
        row_of("berths", texts, settings),
    ]
    rows: list[Row] = [row for part in parts for row in part.rows]
    wrong = tuple(dict.fromkeys(sentence for part in parts for sentence in part.wrong))
    return replace(Draft(tuple(rows)), wrong=wrong)
