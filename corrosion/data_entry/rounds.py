"""A round of readings: which anodes, in which order, what is done, what was skipped.

What is done stands in the logs and nowhere else: an anode is done when a look at it, or a new one
in its place, was entered since the round began.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

import pandas as pd

from corrosion.data_entry.known import Desk
from corrosion.data_entry.round_address import SKIPS_HULL, RoundAddress, RoundAnode
from corrosion.records import Logbook
from corrosion.workshop import Looks

LISTED: Final = ["hull_id", "position", "berth"]
TYPED_LATER: Final = pd.Timedelta(days=7)
"""A sheet filled in at the dock is typed so much later at most."""


@dataclass(frozen=True)
class Entered:
    """An anode that is done: log, name and moment of entry (UTC) of each row that says so."""

    anode: RoundAnode
    entries: tuple[tuple[str, str], ...]
    entered_at: pd.Timestamp


@dataclass(frozen=True)
class Round:
    """How far a round has come.

    Attributes
    ----------
    anodes : tuple of RoundAnode
        All of them, in walking order.
    done : tuple of Entered
        By moment of entry.
    skipped : tuple of (RoundAnode, str)
        In walking order, with the reason; what was read all the same is done, not skipped.
    left : tuple of RoundAnode
        Neither done nor skipped, in walking order.
    """

    anodes: tuple[RoundAnode, ...]
    done: tuple[Entered, ...]
    skipped: tuple[tuple[RoundAnode, str], ...]
    left: tuple[RoundAnode, ...]

    @property
    def turn(self) -> RoundAnode | None:
        """The anode whose turn it is; None where none is left."""
        return self.left[0] if self.left else None

    def goes_with(self, anode: RoundAnode, why: str) -> tuple[RoundAnode, ...]:
        """Say what is skipped with an anode: all that is left on the hull, or it alone."""
        if why not in SKIPS_HULL:
            return (anode,)
        return tuple(each for each in self.left if each.hull_id == anode.hull_id)

    def skipped_hulls(self) -> list[tuple[str, str, tuple[RoundAnode, ...]]]:
        """Hull, reason and anodes of what was skipped, in walking order."""
        together: dict[tuple[str, str], list[RoundAnode]] = {}
        for anode, why in self.skipped:
            together.setdefault((anode.hull_id, why), []).append(anode)
        return [(hull_id, why, tuple(own)) for (hull_id, why), own in together.items()]


def scheduled_round(looks: Looks, mooring_id: str) -> pd.DataFrame:
    """List what the schedule of looks asks for at a mooring, in the order of its walk.

    Returns
    -------
    DataFrame
        One row an anode; columns `LISTED`.
    """
    own = looks.round[looks.round["mooring_id"] == mooring_id]
    berth = own["group"].fillna("").astype(str).str.removeprefix(mooring_id).str.strip()
    return own.assign(berth=berth)[LISTED].reset_index(drop=True)


def whole_round(desk: Desk, mooring_id: str, began: pd.Timestamp) -> pd.DataFrame:
    """List every anode of the hulls that lay at a mooring when the round began.

    Berth after berth, hull after hull, on a hull in order of access. It needs no forecast.

    Returns
    -------
    DataFrame
        One row an anode; columns `LISTED`.
    """
    then = replace(desk, now=began)
    berths = {hull_id: then.berth(hull_id) for hull_id in then.hulls()}
    rows = [
        (hull_id, position, _pontoon(berth))
        for hull_id, berth in berths.items()
        if berth is not None and berth["mooring_id"] == mooring_id
        for position in _by_access(desk, hull_id)
    ]
    table = pd.DataFrame(rows, columns=LISTED)
    return table.sort_values(["berth", "hull_id"], kind="stable", ignore_index=True)


def _pontoon(berth: pd.Series) -> str:
    pontoon = berth.get("pontoon")
    return pontoon if isinstance(pontoon, str) else ""


def _by_access(desk: Desk, hull_id: str) -> list[str]:
    """Order a hull's places as the schedule of looks does: what is got at soonest goes first."""
    own = _register(desk)
    own = own[own["hull_id"] == hull_id]
    return list(own.sort_values(["access_minutes", "access_group", "position"])["position"])


def _register(desk: Desk) -> pd.DataFrame:
    """Every place for an anode on every hull, as registered."""
    hulls = desk.checked.hulls[["hull_id", "layout"]].dropna()
    names = ["layout", "position", "access_minutes", "access_group"]
    places = desk.checked.anode_positions[names].dropna(subset=["position"])
    return hulls.merge(places, on="layout").drop_duplicates(["hull_id", "position"])


def walk_round(listed: pd.DataFrame, desk: Desk, address: RoundAddress) -> Round:
    """Say how far a round has come, by the logs.

    Parameters
    ----------
    listed : DataFrame
        Columns `LISTED`, in walking order. A place that is in the register no more is left out.
    desk : Desk
        The newest logs.
    address : RoundAddress
        When it began, and what was skipped.

    Returns
    -------
    Round
    """
    register = _register(desk)
    there = set(zip(register["hull_id"], register["position"], strict=True))
    anodes = tuple(
        RoundAnode(*map(str, row))
        for row in listed[LISTED].itertuples(index=False)
        if (row.hull_id, row.position) in there
    )
    entered = _entered_since(desk.logbook, address.began)
    done = [Entered(a, *entered[a.hull_id, a.position]) for a in anodes
            if (a.hull_id, a.position) in entered]  # fmt: skip
    whys = {(skip.hull_id, skip.position): skip.why for skip in address.skips}
    open_ones = [a for a in anodes if (a.hull_id, a.position) not in entered]
    return Round(
        anodes,
        tuple(sorted(done, key=lambda each: each.entered_at)),
        tuple((a, whys[a.hull_id, a.position]) for a in open_ones
              if (a.hull_id, a.position) in whys),
        tuple(a for a in open_ones if (a.hull_id, a.position) not in whys),
    )  # fmt: skip


def _entered_since(
    logbook: Logbook, began: pd.Timestamp
) -> dict[tuple[str, str], tuple[tuple[tuple[str, str], ...], pd.Timestamp]]:
    """Find the anodes about which something stands that was first entered since a moment."""
    entered: dict[tuple[str, str], tuple[tuple[tuple[str, str], ...], pd.Timestamp]] = {}
    for log, at in (("readings", "read_at"), ("fittings", "fitted_at")):
        rows = logbook.history[log]
        rows = rows[rows["entered_at"] > began].sort_values("entered_at", kind="stable")
        if rows.empty:  # a log that is not there has no `standing` either
            continue
        own = rows[_new_matters(rows["entry_id"], rows["corrects"])]
        own = own[(own["standing"] == "stands") & ~(own[at] < began - TYPED_LATER)]
        for row in own.to_dict("records"):
            anode = str(row["hull_id"]), str(row["position"])
            before = entered.get(anode, ((), row["entered_at"]))
            names = (*before[0], (log, str(row["entry_id"])))
            entered[anode] = names, max(before[1], row["entered_at"])
    return entered


def _new_matters(names: Iterable[object], corrects: Iterable[object]) -> list[bool]:
    """Tell rows about something new from corrections of what was there before them."""
    new: set[object] = set()
    told = []
    for name, target in zip(names, corrects, strict=True):
        told.append(not isinstance(target, str) or target in new)
        if told[-1]:
            new.add(name)
    return told


def entered_later(logbook: Logbook, moment: pd.Timestamp) -> bool:
    """Tell whether anything was entered into any log after a moment."""
    return any(bool((rows["entered_at"] > moment).any()) for rows in logbook.history.values())
