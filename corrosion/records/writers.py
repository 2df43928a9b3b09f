"""Who writes: under which role of the yard, and whether the fleet lets them.

    by = operator("workshop")                        # whoever keeps the folder: a command, a test
    by = Writer("dock, early shift", role_in)        # a visitor, whose role is asked at each write

Every function that changes a fleet's folder takes a `Writer` and asks it first. `look` may read
all and write nothing, `log` may write what was done and seen, `manage` everything else too.

Notes
-----
* A right is asked when something is written, never kept: one that was taken away meanwhile holds
  no longer, whatever the screen still shows.
* `Writer.by` is the role or the shift that goes into `entered_by`. Who signed in is not written
  down: a log names no person.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path
from typing import Final

from corrosion.common import Refusal


class Role(IntEnum):
    """What somebody may do; each includes those before it."""

    NONE = 0
    LOOK = 1
    LOG = 2
    MANAGE = 3

    @property
    def word(self) -> str:
        """The role as people and the roles file say it: none, look, log, manage."""
        return self.name.lower()


WRITTEN_ON_THE_DOCK: Final = frozenset(
    (
        *("readings", "fittings", "outings", "flushes", "water_samples", "berths"),
        *("bookings", "meters", "engine_swaps", "stock_moves"),
    )
)
"""Logs that `log` writes; every other one, also one that is still to come, is for `manage`."""

SETTINGS: Final = "the settings"
A_FILE: Final = "rows from a file"
A_FOLDER: Final = "a new fleet folder"


def role_to_write(what: str) -> Role:
    """Say which role a log, or one of the other things that are written, is for."""
    return Role.LOG if what in WRITTEN_ON_THE_DOCK else Role.MANAGE


@dataclass(frozen=True)
class Writer:
    """Whoever writes.

    Attributes
    ----------
    by : str
        Role or shift for `entered_by`, never a person's name.
    role_in : callable of Path to Role
        Which role whoever writes has in a fleet folder, now; called once for each write.
    """

    by: str
    role_in: Callable[[Path], Role]

    def require(self, folder: Path, what: str) -> None:
        """Go on only if whoever writes may write this there, at this moment.

        Parameters
        ----------
        folder : Path
            The fleet's folder.
        what : str
            Name of the log, or `SETTINGS`, `A_FILE`, `A_FOLDER`.

        Raises
        ------
        Refusal
            The role does not reach so far; nothing was written.
        """
        needed, has = role_to_write(what), self.role_in(folder)
        if has < needed:
            raise Refusal(
                f"{what}: writing this takes the role {needed.word}, and yours is now {has.word}. "
                "Nothing was written. Who keeps the server gives roles, and sign-ins run out."
            )


def operator(by: str) -> Writer:
    """Whoever keeps the folder and could change its files by hand: may write everything."""
    return Writer(by, lambda _: Role.MANAGE)
