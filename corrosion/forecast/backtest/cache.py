"""Forecasts of past weeks that were made already, kept on disk outside the fleet's folder.

They are Parquet files in the user's cache folder (`XDG_CACHE_HOME`, else `~/.cache`) or wherever
one says; deleting them costs nothing but time. A week is made again when anything changes that
was known by then.
"""

from __future__ import annotations

import os
import tempfile
from hashlib import blake2b
from pathlib import Path

import pandas as pd
import pyarrow.lib

KEY = "key"


def usual_place() -> Path:
    """Return the folder where forecasts are kept unless one says otherwise."""
    base = os.environ.get("XDG_CACHE_HOME")
    return (Path(base) if base else Path.home() / ".cache") / "corrosion" / "record"


def file_of(folder: Path, place: Path, what: str) -> Path:
    """Return the file that keeps something of a fleet."""
    name = blake2b(str(folder.resolve()).encode(), digest_size=8).hexdigest()
    return place / f"{name}-{what}.parquet"


def recall(file: Path) -> pd.DataFrame:
    """Return what a file keeps; nothing where there is no such file or it cannot be read."""
    try:
        return pd.read_parquet(file)
    except (OSError, pyarrow.lib.ArrowException, ValueError):
        return pd.DataFrame()


def keep(table: pd.DataFrame, file: Path) -> None:
    """Write a table whole or not at all; a place that cannot be written to is done without."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, half = tempfile.mkstemp(dir=file.parent, suffix=".half")
        os.close(handle)
        table.to_parquet(half)
        Path(half).replace(file)
    except OSError:
        return
