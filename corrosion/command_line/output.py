"""The place that an answer is written to, never among the logs; and the width of the screen."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path


def refuse_place(output: Path, fleet: Path | str | None) -> None:
    """Refuse a place that an answer must not be written to.

    Parameters
    ----------
    output : Path
        The file asked for.
    fleet : Path, str or None
        The fleet's folder; an address is no place on this disk; None where the command takes none.

    Raises
    ------
    Refusal
        When the file would lie among the fleet's logs or take the place of its settings, when
        its folder is missing, or when it is not a plain file (`/dev/null`, a folder).
    """
    from corrosion.common import Refusal
    from corrosion.records import LOGS

    target = output.resolve()
    house = fleet.resolve() if isinstance(fleet, Path) else None
    inside = target.relative_to(house) if house and target.is_relative_to(house) else Path()
    if inside.parts[:1] and (inside.parts[0] in LOGS or inside.suffix in {".parquet", ".toml"}):
        raise Refusal(f"{output}: is part of the fleet's own logs. Write the answer elsewhere.")
    if not target.parent.is_dir():
        raise Refusal(f"{output}: there is no folder {target.parent}. Make it first.")
    if target.exists() and not target.is_file():
        raise Refusal(f"{output}: is not a plain file. Give the name of a file to write.")


def terminal_width() -> int | None:
    """Columns of the terminal; None when nobody looks (a pipe, a file)."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None
