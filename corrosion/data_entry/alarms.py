"""Alarms: entries after which a hull stays in until somebody has seen to it.

An entry is written all the same: what was seen belongs in the log. Limits are the register's, with
their manual's page; what a potential and a resistance mean stands in `chemistry`, with sources.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import pandas as pd

from corrosion.chemistry import advise, galvanic, potentials
from corrosion.common import formatting
from corrosion.data_entry.drafts import Row
from corrosion.data_entry.known import Desk, Place

ENOUGH_OHMS: Final = 5
"""So many readings of resistance and the fleet's own middle says what is usual."""
SALTY: Final = ("salt", "brackish")
STAY: Final = "Keep the hull in and tell the workshop."


@dataclass(frozen=True)
class Alarm:
    """What may not wait.

    Attributes
    ----------
    hull_id : str
        The hull it is about.
    says : str
        What was seen, against which limit.
    do : str
        What to do at once.
    next_hire : str
        When the hull goes out next, by the fleet's clock.
    call : str
        Whom to tell, by role.
    """

    hull_id: str
    says: str
    do: str
    next_hire: str
    call: str


def alarms_of(rows: Sequence[Row], desk: Desk) -> list[Alarm]:
    """Say which entries are an alarm.

    Parameters
    ----------
    rows : sequence of Row
        What was written; a new anode among them takes the place of the one that was read.
    desk : Desk
        The fleet at that moment: limits, waters, hires, roles.

    Returns
    -------
    list of Alarm
    """
    renewed = {_place_of(row) for row in rows if row.log == "fittings"}
    alarms = []
    for row in rows:
        if row.cells.get("void"):
            continue
        hull_id = str(row.cells.get("hull_id") or "")
        for says, do in _seen(row, desk, renewed=_place_of(row) in renewed):
            alarms.append(Alarm(hull_id, says, do, _next_hire(hull_id, desk), _whom(hull_id, desk)))
    return alarms


def _place_of(row: Row) -> tuple[object, object]:
    return row.cells.get("hull_id"), row.cells.get("position")


def _seen(row: Row, desk: Desk, *, renewed: bool) -> Iterator[tuple[str, str]]:
    """What a row says that may not wait, and what to do."""
    hull_id = str(row.cells.get("hull_id") or "")
    if row.log == "berths":
        yield from _magnesium_moved(row, hull_id, desk)
        return
    if row.log not in ("readings", "fittings"):
        return
    places = {place.position: place for place in desk.places(hull_id)}
    place = places.get(str(row.cells.get("position") or ""))
    if place is None:
        return
    alloy = str(row.cells.get("alloy") or fitted_alloy(desk, hull_id, place))
    if row.log == "fittings":
        yield from _magnesium(hull_id, place, alloy, desk.water(hull_id))
        return
    if not renewed:
        yield from _at_limit(row, hull_id, place, desk)
        yield from _magnesium(hull_id, place, alloy, desk.water(hull_id))
    yield from _no_contact(row, hull_id, place, desk)
    yield from _potential(row, hull_id, place, alloy, desk.water(hull_id))


def _at_limit(row: Row, hull_id: str, place: Place, desk: Desk) -> Iterator[tuple[str, str]]:
    unit = desk.logbook.settings.length_unit
    source = f", {place.limit_source}" if place.limit_source else ""
    limit = f"limit {formatting.size(place.limit_mm, unit)}{source}"
    size_mm, low_mm = _number(row, "size_mm"), _number(row, "size_low_mm")
    if size_mm is not None and size_mm <= place.limit_mm:
        how = "past" if size_mm < place.limit_mm else "at"
        reading = f"{formatting.size(size_mm, unit)}, {limit}"
        yield f"{hull_id} {place.position} is {how} its limit: {reading}.", STAY
    elif low_mm is not None and low_mm <= place.limit_mm:
        reading = f"from {formatting.size(low_mm, unit)} by eye, {limit}"
        yield (
            f"{hull_id} {place.position} may be at its limit: {reading}.",
            f"Measure it with the caliper. Until then: {STAY[0].lower()}{STAY[1:]}",
        )
    elif row.cells.get("verdict") == "worn":
        yield f"{hull_id} {place.position} was found worn ({limit}).", STAY


def _no_contact(row: Row, hull_id: str, place: Place, desk: Desk) -> Iterator[tuple[str, str]]:
    bond_ohm = _number(row, "bond_ohm")
    if bond_ohm is None:
        return
    readings = desk.checked.readings
    known = readings.loc[readings["position"] == place.position, "bond_ohm"].dropna()
    sisters_ohm = float(known.median()) if len(known) >= ENOUGH_OHMS else None
    meaning = potentials.contact_means(bond_ohm, sisters_ohm)
    # what is not allowed for a bond is an alarm, however usual it is in this fleet
    most = potentials.contact_means(bond_ohm)
    if meaning.alarm or most.alarm:
        worst = meaning if meaning.alarm else most
        yield (
            f"{hull_id} {place.position} has no good contact: {worst.says} ({worst.source})",
            "An anode without contact protects nothing. " + STAY,
        )


def _potential(
    row: Row, hull_id: str, place: Place, alloy: str, water: str
) -> Iterator[tuple[str, str]]:
    potential_mv = _number(row, "potential_mv")
    if potential_mv is None or alloy not in galvanic.CURRENT_CAPACITIES["alloy"].to_numpy():
        return
    # the criterion is one of sea water: in fresh water only swapped leads can be told
    if water == "fresh" and potential_mv <= 0:
        return
    meaning = potentials.potential_means(potential_mv, alloy)
    if meaning.alarm:
        yield f"{hull_id} {place.position}: {meaning.says} ({meaning.source})", STAY


def _magnesium(hull_id: str, place: Place, alloy: str, water: str) -> Iterator[tuple[str, str]]:
    if alloy != "magnesium" or water not in SALTY:
        return
    yield (
        f"{hull_id} {place.position} is magnesium in {water} water: {advise(alloy, water).why}.",
        "Have it changed as the hull's manual says. " + STAY,
    )


def _magnesium_moved(row: Row, hull_id: str, desk: Desk) -> Iterator[tuple[str, str]]:
    water = desk.water_at(str(row.cells.get("mooring_id") or ""))
    for place in desk.places(hull_id):
        yield from _magnesium(hull_id, place, fitted_alloy(desk, hull_id, place), water)


def fitted_alloy(desk: Desk, hull_id: str, place: Place) -> str:
    """The metal of the anode that is in: the last fitting's, else the register's."""
    fittings = desk.checked.fittings
    own = fittings[(fittings["hull_id"] == hull_id) & (fittings["position"] == place.position)]
    own = own[own["fitted_at"] <= desk.now].sort_values("fitted_at", kind="stable")
    last = None if own.empty else own.iloc[-1]["alloy"]
    return last if isinstance(last, str) and last else place.alloy


def _number(row: Row, name: str) -> float | None:
    cell = row.cells.get(name)
    return float(cell) if isinstance(cell, int | float) and cell == cell else None


def _next_hire(hull_id: str, desk: Desk) -> str:
    bookings = desk.checked.bookings
    own = bookings[(bookings["hull_id"] == hull_id) & (bookings["ends"] > desk.now)]
    if own.empty:
        return "No hire of it is booked."
    starts: pd.Timestamp = own["starts"].min()
    when = formatting.moment(starts, desk.logbook.settings.timezone)
    return f"It is on hire since {when}." if starts <= desk.now else f"Its next hire: {when}."


def _whom(hull_id: str, desk: Desk) -> str:
    """The mechanics of the hull's mooring; where none are named, the last of the roles."""
    settings, berth = desk.logbook.settings, desk.berth(hull_id)
    at = "" if berth is None else str(berth["mooring_id"])
    named = [m.name for m in settings.mechanics if m.name and (not m.moorings or at in m.moorings)]
    workshop = [role for role in settings.roles if "workshop" in role.lower()]
    return f"Call: {', '.join(named or workshop or list(settings.roles[-1:]))}."
