"""The file that an answer is written to: whole or not at all, and never among the logs."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

from corrosion.errors import Refusal


def refuse_place(output: Path, fleet: Path) -> None:
    """Refuse a place that an answer must not be written to.

    Parameters
    ----------
    output : Path
        The file asked for.
    fleet : Path
        The fleet's folder.

    Raises
    ------
    Refusal
        When the file would lie among the fleet's logs or take the place of its settings, when
        its folder is missing, or when it is not a plain file (`/dev/null`, a folder).
    """
    from corrosion.logs import LOGS  # brings pandas, which --help does not need

    place, house = output.resolve(), fleet.resolve()
    inside = place.relative_to(house) if place.is_relative_to(house) else Path()
    if inside.parts[:1] and (inside.parts[0] in LOGS or inside.suffix in {".parquet", ".toml"}):
        raise Refusal(f"{output}: is part of the fleet's own logs. Write the answer elsewhere.")
    if not place.parent.is_dir():
        raise Refusal(f"{output}: there is no folder {place.parent}. Make it first.")
    if place.exists() and not place.is_file():
        raise Refusal(f"{output}: is not a plain file. Give the name of a file to write.")


def write_whole(output: Path, text: str) -> None:
    """Write a file beside the wanted one, then give it its name: no reader sees half of it.

    Parameters
    ----------
    output : Path
        The file to make or replace; a link is followed.
    text : str
        Its whole content, written as UTF-8.
    """
    place = output.resolve()
    beside = place.with_name(f".{place.name}.{os.getpid()}")
    try:
        with beside.open("x", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(place)
    finally:
        beside.unlink(missing_ok=True)


def terminal_width() -> int | None:
    """Columns of the terminal; None when nobody looks (a pipe, a file)."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None
