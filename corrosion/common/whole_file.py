"""A file that is written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from uuid import uuid4


def write_whole(path: Path, content: bytes) -> None:
    """Write a file beside the wanted one, flush it, give it its name: no reader sees half of it.

    Parameters
    ----------
    path : Path
        The file to make or replace; a link is followed.
    content : bytes
        The whole of it.

    Raises
    ------
    OSError
        The disk would not take it; what stood there still does.
    """
    place = path.resolve()
    beside = place.with_name(f".{place.name}.{uuid4().hex[:8]}")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(place)
    finally:
        beside.unlink(missing_ok=True)
