"""Known ids: which entry ids a log holds already. A written file never changes, so it is read once.

What was read is remembered per file, under its size and time of change, for as long as the process
runs; a form that is sent twice is then recognised without opening the log again.
"""

from __future__ import annotations

import threading
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from corrosion.common import LogRefused
from corrosion.records.logbook.contents import log_files
from corrosion.records.logbook.texts import as_text, plain_array

_Facts = tuple[int, int]
_REMEMBERED: dict[Path, tuple[_Facts, frozenset[str]]] = {}
_MOST_FILES = 20_000  # remembered over all fleets; a process that saw more starts afresh
_ONE_AT_A_TIME = threading.Lock()


def known_ids(folder: Path, log: str) -> frozenset[str]:
    """Entry ids that a log holds.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : str
        Name of the log.

    Returns
    -------
    frozenset of str

    Raises
    ------
    LogRefused
        A file of the log cannot be read, so that nobody can say what it holds.
    """
    known: set[str] = set()
    for path in log_files(folder, log):
        known |= _ids_of(path.resolve(), log)
    return frozenset(known)


def _ids_of(path: Path, log: str) -> frozenset[str]:
    try:
        stat = path.stat()
        facts = (stat.st_size, stat.st_mtime_ns)
        with _ONE_AT_A_TIME:
            remembered = _REMEMBERED.get(path)
        if remembered is None or remembered[0] != facts:
            remembered = (facts, _read(path))
            with _ONE_AT_A_TIME:
                if len(_REMEMBERED) >= _MOST_FILES:
                    _REMEMBERED.clear()
                _REMEMBERED[path] = remembered
    except FileNotFoundError:  # joined with others a moment ago; its rows are in the file of all
        return frozenset()
    except (OSError, pa.ArrowException, ValueError) as error:
        raise LogRefused(
            f"{log}: {path.name} is not a whole Parquet file, so nobody can say whether the entry "
            "is there already. Copy it again or move it out of the folder."
        ) from error
    return remembered[1]


def _read(path: Path) -> frozenset[str]:
    with pq.ParquetFile(path) as file:
        if "entry_id" not in file.schema_arrow.names:
            return frozenset()
        column = file.read(columns=["entry_id"])["entry_id"]
    text = as_text(plain_array(column))
    cells = [] if text is None else text.drop_null().to_pylist()
    return frozenset(cell.strip() for cell in cells)
