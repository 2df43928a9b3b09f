"""Contents: which Parquet files are a log, each read whole, while others write and join them.

Joining many files into one puts the joined file in place first and takes its parts away after. So
a reader may meet a part and the file that it went into: the part is then left alone. And it may
find a part gone that it had seen: it looks again.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

import pyarrow as pa
import pyarrow.parquet as pq

from corrosion.common import LogRefused
from corrosion.records.logbook.seals import is_joined, is_own, replaced_in, seal_in, written_ns
from corrosion.records.logs import Log

_SMALL_BYTES = 1_000_000  # below, threads within a file cost more than they save (measured)
_MANY = 64  # so many files are worth reading by more than one thread (measured)
_THREADS = 2
_MOST_CELLS = 200_000_000
_LOOKS = 20  # a reader that is overtaken so often is told


@dataclass(frozen=True)
class Contents:
    """A log's files as read at one moment.

    Attributes
    ----------
    files : list of Path
        In name order.
    tables : list of Table
        Their cells, in the same order.
    entered : int
        When this program wrote the newest of them, us since 1970, by the clock of that time; 0
        where it wrote none.
    """

    files: list[Path] = field(default_factory=list)
    tables: list[pa.Table] = field(default_factory=list)
    entered: int = 0


def log_files(folder: Path, log: str) -> list[Path]:
    """Files of a log in name order: `<log>/*.parquet` and `<log>.parquet`, hidden ones left out."""
    paths = [path for path in visible_files(folder, log) if path.suffix == ".parquet"]
    return sorted(paths, key=str)  # all below one folder


def visible_files(folder: Path, log: str) -> Iterator[Path]:
    """Everything that lies where a log's files lie, names that start with `.` or `_` left out."""
    try:
        for path in (folder / log, folder / f"{log}.parquet"):
            if path.is_dir():
                with os.scandir(path) as inside:
                    for entry in inside:
                        if not entry.name.startswith((".", "_")):
                            _require_plain(log, entry)
                            yield path / entry.name
            elif os.path.lexists(path):
                if path.suffix != ".parquet" or not path.is_file():
                    raise _no_plain_file(log, path)
                yield path
    except OSError as error:
        raise LogRefused(
            f"{log}: {path} cannot be opened ({error.strerror}). Check who may read it."
        ) from error


def _require_plain(log: str, entry: os.DirEntry[str]) -> None:
    """Refuse what is called a log's file and is none; the listing tells, no file is asked."""
    strange = entry.name.endswith(".parquet") and not entry.is_file()
    if strange and os.path.lexists(entry.path):  # else it was joined and taken away meanwhile
        raise _no_plain_file(log, Path(entry.path))


def _no_plain_file(log: str, path: Path) -> LogRefused:
    what = "a link that leads nowhere" if path.is_symlink() and not path.exists() else "no file"
    if path.name == log:
        return LogRefused(f"{log}: {path} is {what}; a folder of Parquet files belongs there.")
    return LogRefused(f"{log}: {path.name} is {what} that can be read. Move it out of the folder.")


def read_contents(folder: Path, log: Log) -> Contents:
    """Read every file of a log as it is at one moment, each row once.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : Log
        Which log.

    Returns
    -------
    Contents
        Nothing where there are no files.

    Raises
    ------
    LogRefused
        A file is not Parquet or lacks a required column.
    """
    for _ in range(_LOOKS):
        files = _steady_files(folder, log.name)
        try:
            return _read_all(files, log)
        except FileNotFoundError as error:
            gone = Path(str(error.filename))
        if gone.is_symlink():  # it points nowhere, and will the next time
            break
    raise _not_whole(log, gone, FileNotFoundError("there is nothing behind this name"))


def _steady_files(folder: Path, log: str) -> list[Path]:
    """The files of a log, none of which went between two looks.

    A folder is listed name by name. A single look might pass the place of a joined file before it
    is there, and come to its parts after they went; then the second look finds the joined file.
    """
    files = log_files(folder, log)
    for _ in range(_LOOKS):
        before, files = files, log_files(folder, log)
        if set(before) <= set(files):
            break
    return files


def _read_all(files: list[Path], log: Log) -> Contents:
    joined = {path: _read_file(path, log) for path in files if is_joined(path.name)}
    replaced = {name for table in joined.values() for name in replaced_in(table)}
    left = [path for path in files if path not in joined and path.name not in replaced]
    return contents_of(joined | dict(zip(left, _read_many(left, log), strict=True)))


def contents_of(read: Mapping[Path, pa.Table]) -> Contents:
    """Put files together that were read, each row once.

    Parameters
    ----------
    read : mapping of Path to Table
        Files of one log, or of each the same part; joined files and parts that went into them.

    Returns
    -------
    Contents
    """
    joined = [table for path, table in read.items() if is_joined(path.name)]
    replaced = {name for table in joined for name in replaced_in(table)}
    files = [path for path in sorted(read, key=str) if path.name not in replaced]
    own = [path for path in files if is_own(path.name)]
    last = seal_in(read[max(own, key=lambda path: written_ns(path.name))]) if own else None
    tables = [read[path] if is_own(path.name) else _cells_alone(read[path]) for path in files]
    return Contents(files, tables, last.entered if last else 0)


def _read_many(files: list[Path], log: Log) -> list[pa.Table]:
    if len(files) < _MANY:
        return [_read_file(path, log) for path in files]
    with ThreadPoolExecutor(_THREADS) as hands:
        return list(hands.map(lambda path: _read_file(path, log), files))


def _cells_alone(table: pa.Table) -> pa.Table:
    """A table without what its writer noted beside the cells; no two writers note the same."""
    return pa.table(dict(zip(table.column_names, table.columns, strict=True)))


def _read_file(path: Path, log: Log) -> pa.Table:
    try:
        table = read_parquet(path)
        table.validate(full=True)  # text that is no UTF-8 is found here, not in the middle of it
    except FileNotFoundError as error:
        raise FileNotFoundError(error.errno, "gone", str(path)) from error
    except (OSError, pa.ArrowException, ValueError) as error:
        raise _not_whole(log, path, error) from error
    return _with_columns(table, path.name, log)


def read_bytes(name: str, data: bytes, log: Log) -> pa.Table:
    """Read one file of a log from its bytes, wherever they came from.

    Parameters
    ----------
    name : str
        The file's name.
    data : bytes
        All of it.
    log : Log
        Which log.

    Returns
    -------
    Table

    Raises
    ------
    LogRefused
        It is not Parquet or lacks a required column.
    """
    try:
        with pq.ParquetFile(pa.BufferReader(data)) as file:
            table = _bounded(file).read(use_threads=False)
        table.validate(full=True)
    except (OSError, pa.ArrowException, ValueError) as error:
        raise _not_whole(log, Path(name), error) from error
    return _with_columns(table, name, log)


def _with_columns(table: pa.Table, name: str, log: Log) -> pa.Table:
    where, names = f"{log.name}: {name}", table.column_names
    if len({*names}) < len(names):
        raise LogRefused(f"{where} holds two columns of the same name. Write it again with one.")
    missing = {*log.required}.difference(names)
    if missing and (table.num_rows or names):
        _refuse_missing(where, [column for column in log.required if column in missing], table)
    return table


def read_parquet(path: Path) -> pa.Table:
    """One Parquet file; a small one is taken into memory first, which opens it once (measured)."""
    if path.stat().st_size > _SMALL_BYTES:
        with pq.ParquetFile(path) as file:
            return _bounded(file).read(use_threads=True)
    with pq.ParquetFile(pa.BufferReader(path.read_bytes())) as file:
        return _bounded(file).read(use_threads=False)


def _bounded(file: pq.ParquetFile) -> pq.ParquetFile:
    """Refuse a file of more cells than a fleet writes in its life: nulls weigh nothing packed."""
    if file.metadata.num_rows * file.metadata.num_columns > _MOST_CELLS:
        raise ValueError(f"it holds {file.metadata.num_rows:,} rows, more than can be read")
    return file


def _not_whole(log: Log, path: Path, error: Exception) -> LogRefused:
    reason = str(error).splitlines()[0][:120] if str(error) else type(error).__name__
    return LogRefused(
        f"{log.name}: {path.name} is not a whole Parquet file ({reason}). "
        "Copy it again or move it out of the folder."
    )


def _refuse_missing(where: str, missing: list[str], table: pa.Table) -> NoReturn:
    raise LogRefused(
        f"{where} has no column {', '.join(missing)} ({table.num_rows} rows; it has "
        f"{', '.join(table.column_names[:12]) or 'none'}). Add it, or rename the one meant."
    )
