"""Cells of any log as text in a form, and back: for registers and for corrections."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.data_entry.drafts import AS_TYPED, Draft, Row
from corrosion.data_entry.typed import number, size
from corrosion.records import ENTRY, LOGS, Column, Settings, limits_of, typed_moment

YES_NO: Final = {"yes": True, "no": False}
_ENTRY_NAMES: Final = {column.name for column in ENTRY}


def columns_of(log: str) -> list[Column]:
    """The columns that a person fills in, in the order of the log."""
    return [column for column in LOGS[log] if column.name not in _ENTRY_NAMES]


def label_of(column: Column, settings: Settings) -> str:
    """What a field is called: its meaning, and the unit in which it is typed."""
    unit = settings.length_unit if column.unit == "mm" else column.unit
    unit = settings.currency or unit if column.unit == "currency" else unit
    name = column.meaning.split(" (")[0].split("; ")[0]
    return f"{name[:1].upper()}{name[1:]}" + (f", {unit}" if unit else "")


def shown(column: Column, value: Any, settings: Settings) -> str:
    """A cell as it stands in a form, such that `row_of` reads the same cell from it.

    Parameters
    ----------
    column : Column
        Its column.
    value : object
        As in the log book: text, number (mm), flag, Timestamp (UTC); unknown is empty.
    settings : Settings
        Unit of lengths and the zone of the clock on the wall.

    Returns
    -------
    str
    """
    if value is None or value is pd.NA or value is pd.NaT or value != value:
        return ""
    if column.kind == "flag":
        return "yes" if value else "no"
    if column.kind == "number":
        inches = column.unit == "mm" and settings.length_unit == "in"
        return f"{value / formatting.MM_PER_INCH if inches else value:.10g}"
    if isinstance(value, pd.Timestamp):
        local = value.tz_convert(settings.timezone)
        bare = column.kind == "date" and local == local.normalize()
        whole = local.second == 0 and local.microsecond == 0
        clock = "" if bare else " %H:%M" if whole else " %H:%M:%S"
        return f"{local:%Y-%m-%d{clock}}"
    return str(value)


def row_of(
    log: str, texts: Mapping[str, str], settings: Settings, before: Mapping[str, Any] | None = None
) -> Draft:
    """Read a filled form of any log as the draft of one row.

    Parameters
    ----------
    log : str
        Which log.
    texts : mapping of str to str
        Column to what was typed; blank is unknown.
    settings : Settings
        Unit of lengths and zone.
    before : mapping, optional
        The row that is corrected. A field whose text still says what it said there keeps that
        very cell, so that nothing changes by being shown and read again.

    Returns
    -------
    Draft
    """
    cells: dict[str, object] = {}
    wrong: list[str] = []
    typed: list[str] = []
    for column in columns_of(log):
        text = texts.get(column.name, "").strip()
        if before is not None and text == shown(column, before.get(column.name), settings):
            cells[column.name] = _known(before.get(column.name))
            continue
        value, sentence, kept = _READ[column.kind](column, text, settings)
        cells[column.name] = value
        wrong += [sentence] if sentence else []
        typed += [kept] if kept else []
        # of an event a number may be unknown; without its sizes a register says nothing
        wanted = column.required and not (column.kind == "number" and LOGS[log].event_time)
        if value is None and wanted and not sentence:
            wrong.append(f"{label_of(column, settings)}: fill it in.")
    row = Row(log, {}).but(**cells, **{AS_TYPED: "; ".join(typed) or None})
    return Draft((row,), tuple(wrong))


def _known(value: Any) -> object:
    return None if value is None or value is pd.NA or value is pd.NaT or value != value else value


_Read = tuple[object, str, str]


def _text(_column: Column, text: str, _settings: Settings) -> _Read:
    return text or None, "", ""


def _word(column: Column, text: str, settings: Settings) -> _Read:
    if text and text not in column.words:
        return None, f"{label_of(column, settings)}: choose one of {', '.join(column.words)}.", ""
    return text or None, "", ""


def _flag(column: Column, text: str, settings: Settings) -> _Read:
    if text and text not in YES_NO:
        return None, f"{label_of(column, settings)}: choose yes or no.", ""
    return YES_NO.get(text), "", ""


def _number(column: Column, text: str, settings: Settings) -> _Read:
    name, (least, most) = label_of(column, settings), limits_of(column.name)
    if column.unit == "mm":
        read = size(text, name, settings.length_unit)
        if read.value is not None and read.value > most:
            return None, f"{name}: {read.as_typed} is more than any part has. Is it in inches?", ""
        kept = "" if read.value is None else f"{column.name} {read.as_typed}"
        return read.value, read.wrong, kept
    read = number(text, name, column.unit, least, most)
    return read.value, read.wrong, ""


def _moment(column: Column, text: str, settings: Settings) -> _Read:
    if not text:
        return None, "", ""
    moment, why = typed_moment(text, settings.timezone)
    if moment is None:
        name = label_of(column, settings)
        return None, f"{name}: {text!r} {why}. Write it such as 2031-05-02 14:30.", ""
    return pd.Timestamp(moment), "", ""


_READ: Final[Mapping[str, Callable[[Column, str, Settings], _Read]]] = {
    "id": _text,
    "text": _text,
    "word": _word,
    "flag": _flag,
    "number": _number,
    "moment": _moment,
    "date": _moment,
}
