"""What the address of a round says: mooring, list, beginning, and what was skipped and why.

What was skipped is no event and is written into no log: it goes with the address.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final
from urllib.parse import quote, unquote, urlencode
from uuid import NAMESPACE_OID, uuid5

import pandas as pd

WEEK, ALL = "week", "all"
LISTS: Final = {WEEK: "What Looks asks for this week", ALL: "Every anode of every hull there"}
SKIPS: Final = {
    "locked": "locked",
    "hire": "out on hire",
    "reach": "can't be reached",
    "read": "was read before",
}
SKIPS_HULL: Final = ("locked", "hire")
"""Reasons that hold for all that is left on the hull."""
GOES_ON: Final = pd.Timedelta(days=7)
"""A round that began longer ago is another week's, and is not gone on with unasked."""


@dataclass(frozen=True)
class RoundAnode:
    """An anode of a round: hull, position, and where at the mooring the hull lies (or empty)."""

    hull_id: str
    position: str
    berth: str = ""


@dataclass(frozen=True)
class Skip:
    """An anode that was passed over, and why: a name in `SKIPS`."""

    hull_id: str
    position: str
    why: str

    def text(self) -> str:
        """Write it for an address; `read_skip` reads it."""
        return "/".join(quote(each, safe="") for each in (self.hull_id, self.position, self.why))


@dataclass(frozen=True)
class RoundAddress:
    """What an address says of a round.

    Attributes
    ----------
    mooring_id : str
    began : Timestamp
        UTC.
    listed : str
        ``week`` or ``all``, as in `LISTS`.
    skips : tuple of Skip
    """

    mooring_id: str
    began: pd.Timestamp
    listed: str = WEEK
    skips: tuple[Skip, ...] = ()

    def parameters(self) -> dict[str, str | list[str]]:
        """Give the parameters of the address."""
        told: dict[str, str | list[str]] = {
            "round": self.mooring_id,
            "list": self.listed,
            "since": self.began.isoformat(),
        }
        return told | ({"skip": [skip.text() for skip in self.skips]} if self.skips else {})

    def text(self) -> str:
        """Write the address as one text, as a browser keeps it."""
        return urlencode(self.parameters(), doseq=True)

    def skipping(self, anodes: Sequence[RoundAnode], why: str) -> RoundAddress:
        """Skip anodes for a reason; one skipped before has the newer reason."""
        rest = self.back_to(anodes).skips
        return replace(
            self, skips=(*rest, *(Skip(anode.hull_id, anode.position, why) for anode in anodes))
        )

    def back_to(self, anodes: Sequence[RoundAnode]) -> RoundAddress:
        """Take anodes up again that were skipped."""
        again = {(anode.hull_id, anode.position) for anode in anodes}
        rest = [each for each in self.skips if (each.hull_id, each.position) not in again]
        return replace(self, skips=tuple(rest))

    def form_of(self, anode: RoundAnode, attempt: int) -> str:
        """Mark the form of an anode in this round: loaded again, it is the same form.

        `attempt` counts the forms before it whose rows are about another anode or struck out.
        """
        told = (self.began.isoformat(), anode.hull_id, anode.position, str(attempt))
        return str(uuid5(NAMESPACE_OID, "/".join(quote(each, safe="") for each in told)))


def read_round(parameters: Mapping[str, Sequence[str]], now: pd.Timestamp) -> RoundAddress | None:
    """Read what an address says of a round.

    Parameters
    ----------
    parameters : mapping of str to sequence of str
        Every value of every parameter.
    now : Timestamp
        UTC. A round whose beginning is not said, cannot be read, or lies ahead begins now.

    Returns
    -------
    RoundAddress or None
        None where no mooring is named.
    """
    mooring_id = _first(parameters, "round")
    if not mooring_id:
        return None
    listed = _first(parameters, "list")
    skips = tuple(filter(None, (read_skip(text) for text in parameters.get("skip", ()))))
    return RoundAddress(
        mooring_id, _began(_first(parameters, "since"), now), listed if listed in LISTS else WEEK,
        skips,
    )  # fmt: skip


def _first(parameters: Mapping[str, Sequence[str]], name: str) -> str:
    values = parameters.get(name, ())
    return values[0] if values else ""


def _began(text: str, now: pd.Timestamp) -> pd.Timestamp:
    try:
        began = pd.Timestamp(text)
        began = began.tz_localize("UTC") if began.tz is None else began.tz_convert("UTC")
        return began.as_unit("us") if began <= now else now
    except (ValueError, TypeError, AttributeError, OverflowError):  # also the empty text's NaT
        return now


def read_skip(text: str) -> Skip | None:
    """Read a skip as an address has it; None where it is none."""
    parts = [unquote(each) for each in text.split("/")]
    return Skip(*parts) if len(parts) == 3 and parts[2] in SKIPS else None
