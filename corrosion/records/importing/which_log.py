"""Which log: for which of the logs a file is, by its headings and its name."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from pathlib import PurePath

from corrosion.records.importing.headings import guessed
from corrosion.records.logs import LOGS, Log


def likeliest_log(headings: Sequence[str], name: str) -> str | None:
    """Say for which log a file is.

    Parameters
    ----------
    headings : sequence of str
        As in the file.
    name : str
        The file's name; it counts where headings would do for several logs.

    Returns
    -------
    str or None
        Of the logs for which every needed column has a heading, the one that the file's name
        names, else the one that takes most headings; None where none or two do.
    """
    taken = {log.name: _headings_taken(log, headings) for log in LOGS.values()}
    fitting = {log: count for log, count in taken.items() if count}
    stem = PurePath(name).stem.casefold().replace("-", "_").replace(" ", "_")
    named = [log for log in fitting if log in stem]
    if len(named) == 1:
        return named[0]
    most = [log for log, count in fitting.items() if count == max(fitting.values())]
    return most[0] if len(most) == 1 else None


def _headings_taken(log: Log, headings: Sequence[str]) -> int:
    """How many headings a log has a column for; 0 where one that it needs is not there."""
    mapping = guessed(log, headings)
    if any(column not in mapping for column in log.required):
        return 0
    return len(set(chain.from_iterable(heading.split("+") for heading in mapping.values())))
