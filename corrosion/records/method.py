"""Which method worked an answer out: printed on every page and sheet, so that old ones can be told.

The version changes whenever the same logs would be given another answer; a change in wording
alone leaves it as it is.

Notes
-----
* `method.VERSION` changes when the same logs would get another answer; it is part of every key of
  kept forecasts.
"""

from __future__ import annotations

from typing import Final

from corrosion.common import formatting
from corrosion.records.logbook import Logbook

VERSION: Final = "2026-11-29c"


def stamp(logbook: Logbook) -> str:
    """Say which fleet, as of when, by which method; and that it is simulated where it is.

    Parameters
    ----------
    logbook : Logbook
        The logs as they stood at the moment of the answer.

    Returns
    -------
    str
        Plain text such as ``Harbour fleet · as of Mon 14 Jun 2031, 07:30 (Europe/Lisbon) ·
        method 2026-11-29 · Simulated``.
    """
    settings = logbook.settings
    name = settings.name or logbook.folder.name
    when = f"as of {formatting.moment(logbook.on, settings.timezone)} ({settings.timezone.key})"
    parts = [name, when, f"method {VERSION}", *(["Simulated"] if settings.simulated else [])]
    return " · ".join(parts)
