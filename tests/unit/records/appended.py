"""A row to append, and every file of a folder, to see that nothing else moved."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pandas as pd


def look(size_mm: object = 8.1, read_at: object = "2031-05-02T14:30", **cells: object) -> Any:
    row = {"hull_id": "H1", "position": "pencil", "read_at": read_at, "size_mm": size_mm}
    return pd.DataFrame([row | cells])


def everything_in(folder: Path) -> dict[str, bytes]:
    """Every file, hidden ones too, by its path."""
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}
