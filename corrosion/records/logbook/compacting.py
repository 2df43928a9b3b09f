"""Compacting: many small written files of a log joined into one, while others read and write.

Only files that this program wrote are joined, and only those whose seal still holds. The joined
file is written beside, flushed, read again and compared, and put in place before its parts are
taken away; it names them, so that a reader that meets both counts each row once. A stop at any
moment leaves either the parts, or the joined file and parts that the next run takes away.
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from os import getpid
from pathlib import Path
from uuid import uuid4

import pyarrow as pa

from corrosion.common import Refusal
from corrosion.records.logbook.contents import log_files, read_parquet
from corrosion.records.logbook.seals import (
    Seal,
    as_parquet,
    content_digest,
    is_joined,
    is_own,
    parts_in,
    replaced_in,
    seal_in,
    sealed,
    written_ns,
)
from corrosion.records.logbook.storing import (
    flush_folder,
    locked,
    put_in_place,
    told_plainly,
    write_beside,
)

MANY = 200  # so many written files of a log are joined; opening them takes a tenth of a second
_GROWS = 4  # a joined file is joined again once the rest is a quarter of it: few files, few copies
_LEFT_BEHIND_S = 86_400.0  # a hidden file that nobody has finished in a day never will be


@dataclass(frozen=True)
class Compacted:
    """What joining the files of a log came to.

    Attributes
    ----------
    joined : int
        Files that went into one.
    rows : int
        Rows of the joined file.
    file : Path or None
        The joined file; None where there was nothing to join.
    left_out : tuple of str
        Written files that were left alone, since they are damaged or were changed, or hold a
        further column of another type.
    """

    joined: int = 0
    rows: int = 0
    file: Path | None = None
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Part:
    """One written file: where it lies, its cells, the seals of its rows in their order."""

    path: Path
    table: pa.Table
    seals: list[Seal]

    @property
    def joined(self) -> list[str]:
        """Names of joined files that its rows came through, itself with them."""
        if not is_joined(self.path.name):
            return []
        inside = {seal.name for seal in self.seals}
        return [self.path.name, *sorted(replaced_in(self.table) - inside)]


def compact(folder: Path, log: str, patience_s: float = 0.0) -> Compacted:
    """Join the small written files of a log into one.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : str
        Name of the log.
    patience_s : float
        How long to wait for another that joins files of this fleet, s.

    Returns
    -------
    Compacted
        Nothing joined where another is at it, or where there is one file at most.

    Raises
    ------
    Refusal
        The disk would not take it; every row is where it was.
    """
    folder = Path(folder)
    log_folder = folder / log
    if not log_folder.is_dir():
        return Compacted()
    with told_plainly(log, log_folder), suppress(BlockingIOError), locked(folder, patience_s):
        _take_away(log_folder, _left_behind(folder, log))
        sound, odd = _parts(_worth_joining(folder, log))
        if len(sound) < 2:
            return Compacted(left_out=tuple(odd))
        return replace(_join(log_folder, sound), left_out=tuple(odd))
    return Compacted()


def _left_behind(folder: Path, log: str) -> list[Path]:
    """Parts whose joined file is in place, and hidden files that nobody will finish."""
    files = log_files(folder, log)
    there = [path for path in files if is_joined(path.name)]
    replaced = {name for path in there for name in replaced_in(read_parquet(path))}
    parts = [path for path in files if path.name in replaced]
    before = time.time() - _LEFT_BEHIND_S
    hidden = (folder / log).glob(".*.parquet.part")
    return parts + [path for path in hidden if _last_touched_s(path) < before]


def _last_touched_s(path: Path) -> float:
    """Return when a file was last written to, in seconds since 1970; endless where it is gone."""
    try:
        return path.stat().st_mtime
    except FileNotFoundError:  # a writer has just given it its name
        return math.inf


def _worth_joining(folder: Path, log: str) -> list[Path]:
    """Written files in order of writing: all small ones, and joined ones that are not much more."""
    own = [path for path in log_files(folder, log) if is_own(path.name)]
    small = [path for path in own if not is_joined(path.name)]
    size = sum(path.stat().st_size for path in small) if len(small) > 1 else 0
    for path in sorted(set(own) - {*small}, key=lambda path: path.stat().st_size):
        if path.stat().st_size <= _GROWS * size:
            small.append(path)
            size += path.stat().st_size
    return sorted(small, key=lambda path: written_ns(path.name))


def _parts(files: list[Path]) -> tuple[list[_Part], list[str]]:
    """Files as parts of one, and the names of those that can't be."""
    sound: list[_Part] = []
    odd: list[str] = []
    schema = pa.schema([])
    for path in files:
        part = _sound_part(path)
        together = part and _together(schema, part.table.schema)
        if part is None or together is None:
            odd.append(path.name)
        else:
            sound.append(part)
            schema = together
    return sound, odd


def _sound_part(path: Path) -> _Part | None:
    """A file whose seal holds; None for one that is damaged, changed or gone."""
    try:
        table = read_parquet(path)
    except (OSError, pa.ArrowException, ValueError):
        return None
    seal = seal_in(table)
    if seal is None or seal.name != path.name or seal.digest != content_digest(table):
        return None
    seals = parts_in(table) if is_joined(path.name) else [seal]
    return _Part(path, table, seals) if sum(part.rows for part in seals) == len(table) else None


def _together(schema: pa.Schema, other: pa.Schema) -> pa.Schema | None:
    """Columns of both; None where they hold a column of the same name in different types."""
    try:
        return pa.unify_schemas([schema, other.remove_metadata()])
    except pa.ArrowException:
        return None


def _join(log_folder: Path, parts: list[_Part]) -> Compacted:
    table = pa.concat_tables([part.table for part in parts], promote_options="default")
    seals = [seal for part in parts for seal in part.seals]
    name = f"m-{max(written_ns(seal.name) for seal in seals)}-{getpid()}-{uuid4().hex[:8]}.parquet"
    file = log_folder / name
    newest, clock = max(s.entered for s in seals), max(s.clock for s in seals)
    seal = Seal(name, len(table), content_digest(table), "", "", newest, clock)
    joined = [through for part in parts for through in part.joined]
    beside = write_beside(file, as_parquet(sealed(table, seal, seals, joined)))
    if content_digest(read_parquet(beside)) != seal.digest:
        beside.unlink()
        raise Refusal(
            f"{log_folder.name}: the files were not joined, since what was written to "
            f"{log_folder} did not read the same again. Every row is "
            "where it was. Have the disk looked at."
        )
    with locked(log_folder):  # no one who writes sees the log between the two states
        put_in_place(beside, file)
        for part in parts:
            part.path.unlink(missing_ok=True)
        flush_folder(log_folder)
    return Compacted(len(parts), len(table), file)


def _take_away(log_folder: Path, files: list[Path]) -> None:
    if files:
        with locked(log_folder):
            for path in files:
                path.unlink(missing_ok=True)
            flush_folder(log_folder)


_AT_IT: set[Path] = set()
_TELL = threading.Lock()


def compact_soon(folder: Path, log: str, many: int = MANY) -> None:
    """Join a log's files beside what goes on, where there are many; nobody waits for it.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : str
        Name of the log.
    many : int
        More small written files than this are many.
    """
    log_folder = (folder / log).resolve()
    small = sum(is_own(path.name) and not is_joined(path.name) for path in _inside(log_folder))
    with _TELL:
        if small <= many or log_folder in _AT_IT:
            return
        _AT_IT.add(log_folder)
    # no daemon: a process that ends waits the moment that it takes
    threading.Thread(target=_compact_quietly, args=(log_folder,), name=f"join {log}").start()


def _inside(log_folder: Path) -> Iterator[Path]:
    with suppress(OSError):
        yield from log_folder.iterdir()


def _compact_quietly(log_folder: Path) -> None:
    """What goes wrong here harms nothing and nobody waits for it; the next run says it again."""
    try:
        with suppress(Refusal, OSError):
            compact(log_folder.parent, log_folder.name)
    finally:
        with _TELL:
            _AT_IT.discard(log_folder)
