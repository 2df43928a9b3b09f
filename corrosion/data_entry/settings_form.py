"""Settings as texts in a form, and back as changes of `fleet.toml`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import pandas as pd
import tomlkit

from corrosion.data_entry.typed import number
from corrosion.records import WEEKDAYS, Settings

NUMBERS: Final = ("tolerated_risk", "wage_per_hour", "flush_minutes")
BAY: Final = ("mooring_id", "weekdays", "hulls_per_day", "hours_per_day")


def plain_settings(settings: Settings) -> dict[str, str]:
    """The settings in daily use, each as it stands in a form."""
    numbers = {name: getattr(settings, name) for name in NUMBERS}
    return {
        "name": settings.name,
        "timezone": settings.timezone.key,
        "currency": settings.currency,
        "length_unit": settings.length_unit,
        "roles": "\n".join(settings.roles),
        "address": settings.address,
        **{name: "" if value is None else f"{value:g}" for name, value in numbers.items()},
    }


def settings_changes(
    typed: Mapping[str, str], now: Mapping[str, str]
) -> tuple[dict[str, object], list[str]]:
    """What changes in `fleet.toml`, and what cannot be read.

    Parameters
    ----------
    typed, now : mapping of str to str
        Key to what stands in the form, and what stood there before.

    Returns
    -------
    changes : dict
        Key to its new value; None takes it out. Fields that were not touched are not in it.
    wrong : list of str
        Sentences about numbers that cannot be read; other values are checked when written.
    """
    changes: dict[str, object] = {}
    wrong: list[str] = []
    for key, text in typed.items():
        if text.strip() == now[key]:
            continue
        if key == "roles":
            changes[key] = [line.strip() for line in text.splitlines() if line.strip()] or None
        elif key in NUMBERS:
            read = number(text, key)
            wrong += [read.wrong] if read.wrong else []
            changes[key] = read.value
        else:
            changes[key] = text.strip() or None
    return changes, wrong


def bays_table(settings: Settings) -> pd.DataFrame:
    """The bays as a table to edit: weekdays by their first three letters, unknown empty."""
    rows = [
        (
            bay.mooring_id,
            ", ".join(WEEKDAYS[day][:3].capitalize() for day in bay.weekdays)
            if len(bay.weekdays) < 7
            else "",
            bay.hulls_per_day,
            bay.hours_per_day,
        )
        for bay in settings.bays
    ]
    table = pd.DataFrame(rows, columns=list(BAY), dtype=object)
    return table.astype({"hulls_per_day": float, "hours_per_day": float})


def bays_of(typed: pd.DataFrame, text: str) -> list[dict[str, object]]:
    """The edited table as the `[[bays]]` of a settings text; keys beside these are kept.

    Parameters
    ----------
    typed : DataFrame
        As `bays_table` gives it, edited.
    text : str
        The settings text; what its bays say beyond the table's columns stays with the bay in the
        same place.

    Returns
    -------
    list of dict
    """
    before: list[dict[str, Any]] = list(tomlkit.parse(text).unwrap().get("bays", []))
    bays = []
    for place, cells in enumerate(typed.to_dict("records")):
        if not _said(cells["mooring_id"]):
            continue
        old = before[place] if place < len(before) else {}
        others = {key: value for key, value in old.items() if key not in BAY}
        days = [day.strip() for day in str(_said(cells["weekdays"]) or "").split(",")]
        bay = {"mooring_id": str(cells["mooring_id"]), "weekdays": [day for day in days if day]}
        limits = {name: _said(cells[name]) for name in BAY[2:]}
        bays.append({k: v for k, v in {**bay, **limits, **others}.items() if v not in (None, [])})
    return bays


def _said(cell: Any) -> Any:
    if cell is None or cell != cell or cell == "":
        return None
    return int(cell) if isinstance(cell, float) and cell.is_integer() else cell
