"""Changing the settings: the old file is kept under its date, the new one put in whole."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from corrosion.common import LogRefused, Refusal, write_whole
from corrosion.records.settings.reading import settings_of
from corrosion.records.settings.values import SETTINGS_FILE
from corrosion.records.writers import SETTINGS, Writer


def settings_text(folder: Path) -> str:
    """The text of a fleet's `fleet.toml`; empty where there is none."""
    path = Path(folder) / SETTINGS_FILE
    return path.read_text(encoding="utf-8-sig") if path.exists() else ""


def changed_text(text: str, changes: Mapping[str, object]) -> str:
    """Change keys of a settings text; comments, order and everything else stay as they are.

    Parameters
    ----------
    text : str
        TOML.
    changes : mapping
        Key to value; None takes the key out.

    Returns
    -------
    str

    Raises
    ------
    LogRefused
        The text is no TOML.
    """
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise LogRefused(f"{SETTINGS_FILE}: is not valid TOML: {error}.") from error
    for key, value in changes.items():
        if value is None:
            document.pop(key, None)
        elif key in document or isinstance(value, list | dict):
            document[key] = value
        else:
            _first(document, key, value)
    return tomlkit.dumps(document)


def _first(document: tomlkit.TOMLDocument, key: str, value: object) -> None:
    """Put a new key before the first table, which would swallow it."""
    rest = {name: document.pop(name) for name in [*document] if _is_table(document[name])}
    document[key] = value
    for name, table in rest.items():
        document[name] = table


def _is_table(item: object) -> bool:
    return isinstance(item, tomlkit.items.Table | tomlkit.items.AoT)


def write_settings(folder: Path, text: str, by: Writer, now: datetime) -> Path | None:
    """Put a new `fleet.toml` in the place of the old one.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    text : str
        The whole new text.
    by : Writer
        Who changes them, and what they may.
    now : datetime
        Names the copy of the old one.

    Returns
    -------
    Path or None
        The copy of the old file; None where there was none, or nothing changes.

    Raises
    ------
    LogRefused
        The text cannot be read as settings; nothing was changed.
    Refusal
        The disk would not take it, or whoever writes may not; nothing was changed.
    """
    by.require(folder, SETTINGS)
    settings_of(text)
    path = Path(folder) / SETTINGS_FILE
    try:
        old = path.read_bytes() if path.exists() else None
        if old == text.encode("utf-8"):
            return None
        backup = None if old is None else _kept(path, old, now)
        write_whole(path, text.encode("utf-8"))
    except OSError as error:
        raise Refusal(
            f"{SETTINGS_FILE}: nothing was changed ({error.strerror}). Make room or give leave to "
            "write in the folder, then send it again."
        ) from error
    return backup


def _kept(path: Path, old: bytes, now: datetime) -> Path:
    """Keep the old content under its date; two changes in one second keep both."""
    for number in range(1000):
        more = f"-{number}" if number else ""
        copy = path.with_name(f"fleet.until-{now:%Y%m%d-%H%M%S}{more}.toml")
        if not copy.exists():
            break
    write_whole(copy, old)
    return copy
