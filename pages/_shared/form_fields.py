"""The fields of each kind of entry, as a phone shows them; nothing here is worked out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, time
from typing import Final

import pandas as pd
import streamlit as st

from corrosion.common import formatting, read_clock
from corrosion.data_entry import Desk, Place
from corrosion.records import ALLOYS, TOUCHED, WATERS

WAYS: Final = {"caliper": "Caliper", "eye": "By eye", "look": "Look only"}
AT_25C: Final = {"no": "as the water is", "yes": "turned to 25 °C (its manual tells)"}
DONE: Final = {"yes": "Yes", "no": "No", "could-not": "Could not"}
EVENTS: Final = {
    "replaced": "Replaced",
    "zeroed": "Set to zero",
    "rolled-over": "Rolled over",
    "stuck": "Stands still",
    "repaired": "Runs again",
}
METHODS: Final = ("hose on the flush port", "run on muffs", "tank", "built-in pump")
SAME_VISIT: Final = pd.Timedelta(hours=12)
JUST_OUT: Final = pd.Timedelta(hours=2)
Filled = dict[str, object]


class Fields:
    """Draws the fields of one form, each under a key of that form, and collects what they hold."""

    def __init__(self, name: str, desk: Desk, kept: Filled) -> None:
        self.name, self.desk = name, desk
        self.filled: Filled = {}
        self.typed: Filled = {}
        self.zone = desk.logbook.settings.timezone
        self.unit = desk.logbook.settings.length_unit
        self.kept = kept

    def key(self, field: str, start: object = None) -> str:
        """Name a field; it starts with what was kept of it, else with `start`."""
        key = f"{self.name}_{field}"
        begin = self.kept.get(field, start)
        if key not in st.session_state and begin is not None:
            st.session_state[key] = begin
        return key

    def hold(self, field: str, value: object) -> object:
        """Collect what a field holds."""
        self.filled[field] = self.typed[field] = value
        return value

    def text(self, field: str, label: str, start: str | None = None) -> None:
        """A text, or a number as it is typed."""
        self.hold(field, st.text_input(label, key=self.key(field, start)))

    def number(self, field: str, label: str, start: str | None = None) -> None:
        """A number; phones show digits for it."""
        with st.container(key=f"digits_{self.name}_{field}"):
            self.text(field, label, start)

    def choice(self, field: str, label: str, said: dict[str, str], start: str | None) -> str:
        """One of a few, all in sight."""
        chosen = st.segmented_control(
            label,
            list(said),
            format_func=lambda option: formatting.label(said[option]),
            key=self.key(field, start),
            required=bool(start),
        )
        return str(self.hold(field, chosen) or "")

    def listed(self, field: str, label: str, options: list[str], start: str | None) -> str:
        """One of many."""
        start = start if start in options else None
        chosen = st.selectbox(label, options, index=None, key=self.key(field, start))
        return str(self.hold(field, chosen) or "")

    def flag(self, field: str, label: str) -> bool:
        """Yes, or not said."""
        return bool(self.hold(field, st.checkbox(label, key=self.key(field, False))))

    def moment(self, field: str, label: str, start: pd.Timestamp) -> None:
        """A day and a time by the fleet's clock."""
        local = start.tz_convert(self.zone).floor("min")
        day_key = self.key(f"{field}_day", local.date())
        time_key = self.key(f"{field}_time", local.time())
        with st.container(horizontal=True):
            day = st.date_input(f"{label}: day", format="YYYY-MM-DD", width=150, key=day_key)
            at = st.time_input(f"{label}: time", step=60, width=150, key=time_key)
        self.typed |= {f"{field}_day": day, f"{field}_time": at}
        if isinstance(day, date) and isinstance(at, time):
            self.filled[field] = read_clock(
                datetime.combine(day, at.replace(tzinfo=None)), self.zone
            )


def reading(fields: Fields, anode: Place, way: str) -> None:
    """A look at an anode."""
    unit = fields.unit
    if way == "caliper":
        fields.number("size", f"Size, {unit}", None)
    elif way == "eye":
        with st.container(horizontal=True):
            fields.number("low", f"At least, {unit}")
            fields.number("high", f"At most, {unit}")
    else:
        fields.choice("verdict", "Verdict", {"ok": "ok", "worn": "worn"}, None)
    with st.container(horizontal=True):
        fields.flag("cleaned", "Cleaned first")
        fields.flag("removed", "It came out")
        fields.flag("fitted", "New one fitted")
    with st.expander("More: contact, potential, new part, when, note"):
        fields.number("bond_ohm", "Contact resistance, ohm")
        fields.number("potential_mv", "Potential, mV (silver/silver chloride)")
        fields.choice("touched_metal", "Metal touched for it", {m: m for m in TOUCHED}, None)
        fields.number("new_size", f"Size of the new one, {unit} (empty: as listed)")
        fields.listed("alloy", "Metal of the new one", list(ALLOYS), anode.alloy)
        fields.text("batch", "Batch of the new one")
        fields.moment("at", "Looked at", fields.desk.now)
        fields.text("note", "Note")


def outing(fields: Fields, hull_id: str) -> None:
    """An outing."""
    desk = fields.desk
    fields.moment("started", "Cast off", desk.now - JUST_OUT)
    fields.moment("ended", "Back", desk.now)
    with st.container(horizontal=True):
        fields.number("engine_hours", "Engine hours")
        before = desk.meter(hull_id)
        was = "" if before is None else f" (was {before:g})"
        fields.number("meter_hours", f"Hour meter{was}")
    fields.choice("water", "Water", {water: water for water in WATERS}, desk.water(hull_id) or None)


def flush(fields: Fields, _hull_id: str) -> None:
    """A flush, done or not."""
    fields.choice("done", "Flushed", DONE, "yes")
    usual = fields.desk.logbook.settings.flush_minutes
    fields.number("minutes", "Minutes", None if usual is None else f"{usual:g}")
    fields.listed("method", "How", list(METHODS), None)
    fields.moment("at", "When", fields.desk.now)


def berth(fields: Fields, hull_id: str) -> None:
    """A move to another berth."""
    now = fields.desk.berth(hull_id)
    at = "" if now is None else str(now["mooring_id"])
    if at:
        st.caption(
            f"{formatting.plain(hull_id)} lives at {formatting.plain(at)} now, {now['stays']}."
        )
    fields.listed("mooring_id", "Moves to", fields.desk.moorings(), at)
    stays = "afloat" if now is None else str(now["stays"])
    fields.choice("stays", "Stays", {"afloat": "Afloat", "lifted": "Lifted"}, stays)
    fields.moment("at", "Since", fields.desk.now)


def water(fields: Fields, hull_id: str) -> None:
    """A look at the water."""
    now = fields.desk.berth(hull_id) if hull_id else None
    moorings = fields.desk.moorings()
    at = str(now["mooring_id"]) if now is not None else (moorings or [None])[0]
    fields.listed("mooring_id", "At", moorings, at)
    fields.number("temperature", "Temperature, °C")
    fields.number("salinity", "Salinity, g/kg")
    fields.number("conductivity", "Conductivity, mS/cm")
    fields.choice("at_25c", "The meter shows it", AT_25C, None)
    fields.moment("at", "When", fields.desk.now)


def hire(fields: Fields, _hull_id: str) -> None:
    """A booking."""
    start = fields.desk.now.ceil("h")
    fields.moment("starts", "Begins", start)
    fields.moment("ends", "Ends", start + JUST_OUT)
    currency = fields.desk.logbook.settings.currency
    with st.container(horizontal=True):
        fields.number("engine_hours", "Engine hours expected")
        fields.number("hire_value", f"Hire value{f', {currency}' if currency else ''}")


def meter(fields: Fields, hull_id: str) -> None:
    """Something that happened to an hour meter."""
    fields.choice("event", "The hour meter", EVENTS, None)
    before = fields.desk.meter(hull_id)
    with st.container(horizontal=True):
        fields.number("meter_before_hours", "Showed before, h",
                      None if before is None else f"{before:g}")  # fmt: skip
        fields.number("meter_after_hours", "Shows now, h")
    fields.moment("at", "When", fields.desk.now)
    fields.text("note", "Note")


def engine(fields: Fields, _hull_id: str) -> None:
    """Another engine went in."""
    st.caption("The anodes of the engine circuit go with the old engine; fit or read the new ones.")
    fields.text("engine", "Engine that went in: its mark or serial")
    fields.moment("at", "When", fields.desk.now)
    fields.text("note", "Note")


FORMS: Final[dict[str, Callable[[Fields, str], None]]] = {
    "outing": outing,
    "flush": flush,
    "berth": berth,
    "water": water,
    "hire": hire,
    "meter": meter,
    "engine": engine,
}
