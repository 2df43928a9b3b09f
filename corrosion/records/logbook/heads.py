"""Heads: beside the logs, which file was written last into each, so that its loss shows too.

A file that is gone is missed by the one written after it. After the newest there is none, and after
a whole log there is nothing: these are missed by the log's head, a small file `.<log>.head` in the
fleet's folder with the newest file's name and a digest over what it says. It follows the file that
it names and is never ahead of it, so a stop in between, or a disk that takes no more, leaves a head
that says less and nothing untrue. A file that a head missed stays on record in the next head: what
is written afterwards does not hide the loss.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path

import pyarrow as pa

from corrosion.records.logbook.contents import log_files
from corrosion.records.logbook.seals import is_joined, parts_of
from corrosion.records.logbook.storing import hidden_part, write_beside

_MOST_BYTES = 100_000  # a head has some hundred; what is larger is none


@dataclass(frozen=True)
class Head:
    """What a log's head says.

    Attributes
    ----------
    newest : str
        Name of the file written last into the log; empty where the head is damaged.
    missed : tuple of str
        Names of files that an earlier head named and that were gone when the next was written.
    """

    newest: str
    missed: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Every file that must be there, or in a joined one."""
        return tuple(name for name in (*self.missed, self.newest) if name)


def head_file(folder: Path, log: str) -> Path:
    """Where a log's head lies; no reader of logs looks there."""
    return folder / f".{log}.head"


def read_head(folder: Path, log: str) -> Head | None:
    """The head of a log; None where it has none.

    Returns
    -------
    Head or None
        Of a damaged one, with nothing in it.
    """
    file = head_file(folder, log)
    try:
        if not file.is_file() or file.stat().st_size > _MOST_BYTES:
            return Head("") if file.exists() else None
        newest, missed, digest = json.loads(file.read_bytes())
        is_whole = digest == _digest(newest, missed)
    except (OSError, ValueError, TypeError):
        return Head("")
    return Head(newest, tuple(missed)) if is_whole else Head("")


def _digest(newest: object, missed: object) -> str:
    return blake2b(json.dumps([newest, missed]).encode(), digest_size=16).hexdigest()


def move_head(folder: Path, log: str, file: Path) -> None:
    """Let a log's head name the file that was written just now, while the log is held.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    log : str
        Name of the log.
    file : Path
        The file; it is in place.

    Notes
    -----
    The row is on the disk already: where the disk refuses the head, the row stands all the same.
    """
    before = read_head(folder, log)
    missed = _still_missing(folder, log, before.names) if before else []
    content = json.dumps([file.name, missed, _digest(file.name, missed)]).encode()
    head = head_file(folder, log)
    with suppress(OSError):
        # one that a killed writer left behind; nobody else writes while the log is held
        hidden_part(head).unlink(missing_ok=True)
        write_beside(head, content).replace(head)


def _still_missing(folder: Path, log: str, names: Iterable[str]) -> list[str]:
    """Of files that a head names, those that lie neither in the log nor in a joined file of it."""
    files = log_files(folder, log)
    gone = sorted({*names} - {path.name for path in files})
    if not gone:
        return []
    inside: set[str] = set()
    for path in files:
        if is_joined(path.name):
            with suppress(OSError, ValueError, pa.ArrowException):
                inside |= {seal.name for seal in parts_of(path)}
    return [name for name in gone if name not in inside]
