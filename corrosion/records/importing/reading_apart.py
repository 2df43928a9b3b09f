"""Reading apart: a file's cells, read in a process of its own where it may unpack into much more.

A spreadsheet of 650 kB may hold millions of rows, a Parquet file of 1 MB as many nulls. `bounded`
counts what it reads, but a library may unpack before it hands anything over; so a packed file is
read where the system itself ends what takes too much, and where no other page waits for it.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import PurePath
from typing import Any, Final, NoReturn

from corrosion.common import OUT_OF_MEMORY, OUT_OF_TIME, LogRefused, child_environment
from corrosion.records.importing.bounded import refuse_bytes
from corrosion.records.importing.raw import Cell, Raw, read_raw

MOST_MEMORY_BYTES: Final = 1_000_000_000
MOST_CPU_S: Final = 60
MOST_WAIT_S: Final = 240
"""How long is waited for it on the clock on the wall, s: other work may hold the cores."""
REFUSED: Final = 3
"""Exit code of the process where the file is refused, with the sentence on its output."""
_LARGE_BYTES: Final = 1_000_000
_AT_ONCE: Final = threading.Semaphore(2)
"""So many files are read at once, whoever brings them; the next one waits."""
_PACKED: Final = (b"PK", b"PAR1")


def read_file(content: bytes, name: str, sheet: str | None = None) -> Raw:
    """Read a file's cells within bounds of memory and time.

    Parameters
    ----------
    content : bytes
        The file.
    name : str
        Its name, for messages.
    sheet : str, optional
        Which sheet of a spreadsheet.

    Returns
    -------
    Raw
        As `read_raw` gives it. A small file of text is read at once: it holds what it weighs.

    Raises
    ------
    LogRefused
        It can't be read, holds no row below its headings, or takes too much to read.
    """
    name = PurePath(name.replace("\0", "")).name or "the file"
    refuse_bytes(name, len(content))
    if len(content) <= _LARGE_BYTES and not content.startswith(_PACKED):
        return read_raw(content, name, sheet)
    done = _read_apart(content, name, sheet or "")
    if done.returncode == REFUSED:
        raise LogRefused(done.stdout.decode())
    if done.returncode == OUT_OF_MEMORY:
        _refuse_what_takes(name, f"{MOST_MEMORY_BYTES // 1_000_000} MB of memory")
    if done.returncode == OUT_OF_TIME:
        _refuse_what_takes(name, f"{MOST_CPU_S} s of work")
    if done.returncode != 0:
        last = done.stderr.decode(errors="replace").strip().rpartition("\n")[2]
        raise LogRefused(f"{name}: cannot be read ({last or done.returncode}). Save it as CSV.")
    return _from_lines(done.stdout.split(b"\n"))


def _read_apart(content: bytes, name: str, sheet: str) -> subprocess.CompletedProcess[bytes]:
    bounds = [str(MOST_MEMORY_BYTES), str(MOST_CPU_S)]
    words = [sys.executable, "-m", "corrosion.records.importing", *bounds, name, sheet]
    try:
        with _AT_ONCE:
            return subprocess.run(
                words,
                input=content,
                capture_output=True,
                timeout=MOST_WAIT_S,
                env=child_environment(),
            )
    except subprocess.TimeoutExpired:
        _refuse_what_takes(name, f"{MOST_WAIT_S // 60} minutes")


def _refuse_what_takes(name: str, what: str) -> NoReturn:
    raise LogRefused(
        f"{name}: takes more than {what} to read. Split it, or save the table alone as CSV."
    )


def as_lines(raw: Raw) -> Iterator[str]:
    """Write a file's cells as lines of JSON: what stands once, then a line for each row."""
    odd = {str(at): why for at, why in raw.odd.items()}
    yield json.dumps([raw.name, raw.headings, raw.lines, odd, raw.sheet, raw.sheets])
    for row in raw.rows:
        yield json.dumps([None if cell is None else _given(cell) for cell in row])


def _given(cell: Cell) -> str | list[str]:
    return [cell.text] if cell.typed else cell.text


def _from_lines(lines: list[bytes]) -> Raw:
    name, headings, numbers, odd, sheet, sheets = json.loads(lines[0])
    rows = [tuple(_cell(given) for given in json.loads(line)) for line in lines[1:] if line]
    odd = {int(at): why for at, why in odd.items()}
    return Raw(name, tuple(headings), rows, numbers, odd, sheet, tuple(sheets))


def _cell(given: Any) -> Cell | None:
    if given is None:
        return None
    return Cell(given[0], True) if isinstance(given, list) else Cell(given)
