"""A form for a row of any log, drawn from the column dictionary."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from corrosion.data_entry import columns_of, label_of, shown
from corrosion.records import Column, Settings


def draw(
    name: str,
    log: str,
    settings: Settings,
    cells: Mapping[str, Any],
    choices: Mapping[str, list[str]] | None = None,
    fixed: tuple[str, ...] = (),
) -> dict[str, str]:
    """Draw a field for each column; gives the texts that stand in them.

    `cells` is what the fields start from, `choices` names the values of columns that point into a
    register, `fixed` the columns that are not to be changed here.
    """
    return {
        column.name: _field(f"{name}_{column.name}", column, settings,
                            shown(column, cells.get(column.name), settings),
                            (choices or {}).get(column.name), column.name in fixed)
        for column in columns_of(log)
    }  # fmt: skip


def _field(
    key: str,
    column: Column,
    settings: Settings,
    start: str,
    choices: list[str] | None,
    is_fixed: bool,
) -> str:
    label = label_of(column, settings) + (" *" if column.required else "")
    options = _options(column, choices)
    if options is None or is_fixed:
        return str(st.text_input(label, start, key=key, disabled=is_fixed, help=_help(column)))
    options = options if start in options else [*options, start]
    chosen = st.selectbox(label, options, index=options.index(start), key=key)
    return str(chosen or "")


def _options(column: Column, choices: list[str] | None) -> list[str] | None:
    if column.kind == "flag":
        return ["", "yes", "no"]
    if column.words:
        return ["", *column.words]
    return None if choices is None else ["", *choices]


def _help(column: Column) -> str | None:
    if column.kind in ("moment", "date"):
        return "By the fleet's clock, such as 2031-05-02 14:30, or a date alone."
    return None
