"""A file that is written whole or not at all, and read only where it is a plain file."""

from __future__ import annotations

import errno
import os
import stat
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
    target = path.resolve()
    beside = target.with_name(f".{target.name}.{uuid4().hex[:8]}")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)


def read_plain(path: Path, most_bytes: int) -> bytes:
    """Read a plain file; a pipe is never waited for.

    Parameters
    ----------
    path : Path
        The file; a link is followed.
    most_bytes : int
        A larger file is not read.

    Returns
    -------
    bytes

    Raises
    ------
    OSError
        It is not there, is no plain file, is larger, or cannot be opened; `strerror` says which.
    """
    # without waiting, else a pipe that nobody writes into is waited for before it can be looked at
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    with open(handle, "rb") as file:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            raise OSError(errno.EINVAL, "it is no plain file", str(path))
        if status.st_size > most_bytes:
            raise OSError(errno.EFBIG, f"it is larger than {most_bytes:,} bytes", str(path))
        return file.read(most_bytes + 1)
