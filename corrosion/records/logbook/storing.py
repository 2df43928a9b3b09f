"""Storing: a file is on the disk whole, under its name, or not at all; and one writer at a time.

A file is written beside under a name that no reader looks at, flushed to the disk, and renamed;
the folder is flushed after it. Waiting writers are told apart by a lock on the folder itself, which
the system lets go of when its holder dies, so that no lock is ever left behind.
"""

from __future__ import annotations

import errno
import os
import random
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from corrosion.common import Refusal

try:
    import fcntl
except ImportError:  # a system without flock: there, only the threads of one process wait
    _FLOCK = False
else:
    _FLOCK = True

PATIENCE_S = 30.0  # longer than any writer holds a log, short enough to be told
_THREADS = threading.Lock()
_FULL = {errno.ENOSPC, errno.EDQUOT}
_FORBIDDEN = {errno.EACCES, errno.EPERM}
_HELD = {errno.EBUSY, errno.ETXTBSY, errno.EAGAIN}
_SHARING_VIOLATION = 32  # how Windows says that another program holds a file open


@contextmanager
def told_plainly(log: str, path: Path) -> Iterator[None]:
    """Say in one sentence what the disk would not do.

    Parameters
    ----------
    log : str
        The log that was to be written.
    path : Path
        Where.

    Raises
    ------
    Refusal
        In place of any OSError; the log is as it was.
    """
    try:
        yield
    except OSError as error:
        raise Refusal(
            f"{log}: nothing was written to {path}, {_reason(error)}. Then send it again."
        ) from error


def _reason(error: OSError) -> str:
    if error.errno in _FULL:
        return "since the disk is full; make room"
    if error.errno == errno.EFBIG:
        return "since no larger file is allowed here; raise the limit or write fewer rows at once"
    if error.errno == errno.EROFS:
        return "since it can only be read; make it writable"
    if getattr(error, "winerror", None) == _SHARING_VIOLATION or error.errno in _HELD:
        return "since another program holds it open; close that program"
    if error.errno in _FORBIDDEN:
        return "since this account may not write there; give it leave to write"
    if error.errno in (errno.ENOENT, errno.ENOTDIR, errno.EEXIST):
        return "since the folder is gone or a file stands in its place; put the folder back"
    return f"since the system refused ({error.strerror or error}); see to that"


@contextmanager
def locked(folder: Path, patience_s: float = PATIENCE_S) -> Iterator[None]:
    """Hold a folder, so that one writer at a time is at it; readers never wait.

    Parameters
    ----------
    folder : Path
        The folder; nothing is written into it for the lock.
    patience_s : float
        How long to wait for another holder, s; 0: not at all.

    Raises
    ------
    BlockingIOError
        Another holder did not let go in time.
    """
    if not _FLOCK:
        with _thread_locked(patience_s):
            yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        _wait_for(handle, time.monotonic() + patience_s)
        yield
    finally:
        os.close(handle)  # lets go of the lock too


def _wait_for(handle: int, until: float) -> None:
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() >= until:
                raise
            time.sleep(random.uniform(0.001, 0.006))  # uneven, so that nobody is always late
        else:
            return


@contextmanager
def _thread_locked(patience_s: float) -> Iterator[None]:
    if not _THREADS.acquire(timeout=patience_s):
        raise BlockingIOError(errno.EAGAIN, "held by another thread")
    try:
        yield
    finally:
        _THREADS.release()


def hidden_part(path: Path) -> Path:
    """Where a file lies while it is written; what a killed writer leaves behind has that name."""
    return path.with_name(f".{path.name}.part")


def write_beside(path: Path, content: bytes) -> Path:
    """Write a file under a hidden name in the folder that it is meant for, and flush it to disk.

    Parameters
    ----------
    path : Path
        The file that it will become.
    content : bytes
        The whole of it.

    Returns
    -------
    Path
        The hidden file; `put_in_place` gives it its name. Nothing is left when this fails.
    """
    beside = hidden_part(path)
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        beside.unlink(missing_ok=True)
        raise
    return beside


def put_in_place(beside: Path, path: Path) -> None:
    """Give a hidden file its name; once this returns, it stays there through a loss of power."""
    try:
        os.replace(beside, path)
    except OSError:
        beside.unlink(missing_ok=True)
        raise
    flush_folder(path.parent)


def flush_folder(folder: Path) -> None:
    """Let the names in a folder reach the disk; a system that can't flush folders keeps them so."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def folder_for(path: Path) -> Iterator[None]:
    """Have a log's folder; one that was made here is taken away again when what follows fails."""
    made = not path.exists()
    path.mkdir(exist_ok=True)
    try:
        if made:
            flush_folder(path.parent)
        yield
    except BaseException:
        if made:
            _away(path)
        raise


def _away(path: Path) -> None:
    try:
        path.rmdir()
    except OSError:  # somebody else has written there meanwhile, and theirs stays
        return
