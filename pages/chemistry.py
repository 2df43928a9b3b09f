"""What does a reading mean?"""

from __future__ import annotations

import math
from typing import Any

import streamlit as st

from corrosion.chemistry import Meaning, OnRecord, galvanic, potentials
from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import ALLOYS, TOUCHED
from corrosion.reports import charts
from pages._shared import cached_answers, frame, listing, session, widgets, worked_out
from pages._shared.session import View

FIRST = 5
WORKED_OUT = (
    "**A potential** is read beside that of the anode's own alloy: an anode that gives no current "
    "shows its own potential, and the metal that it protects is drawn down towards it. Against "
    "silver/silver chloride, in salt water; in fresh water only a hull's own past tells.",
    "**The drift** of a hull is a straight line through all its potentials, whatever the position; "
    "towards zero means that protection fades.",
    "**Current and wear** follow from each other by Faraday's law and the alloy's usual "
    "efficiency.",
    "**Salinity** is the Practical Salinity Scale of 1978, from conductivity and temperature. Many "
    "meters turn what they measure into what it would be at 25 °C: read as if it were not, sea "
    "water of 15 °C comes out a quarter too salty.",
)


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then what was measured, a reading to try, and the tables behind it."""
    chemistry = cached_answers.chemistry(seen)
    widgets.say(_sentence(chemistry))
    _measured(chemistry, answer)
    _try_one()
    with st.expander("Potentials of the fleet, drawn, and how they drift"):
        _picture(seen, chemistry)
        _drift(chemistry, answer)
    with st.expander("Alloys, waters, capacities and driving voltages"):
        _tables()
    worked_out.explain(answer.logbook, *WORKED_OUT)


def _sentence(chemistry: OnRecord) -> str:
    measured, drift = chemistry.measured, chemistry.drift
    if measured.empty:
        return (
            "**No potential and no contact resistance is on record.** What one would mean can be "
            "tried below."
        )
    alarms = measured[measured["alarm"]]
    fading = drift.loc[drift["fades"], "hull_id"].tolist() if len(drift) else []
    start = (
        f"**{formatting.count(len(alarms), 'reading')} of {len(measured)} "
        f"{'asks' if len(alarms) == 1 else 'ask'} for a look.**"
        if len(alarms)
        else f"**None of {formatting.count(len(measured), 'reading')} asks for a look.**"
    )
    if fading:
        return f"{start} Protection fades on {formatting.plain(formatting.listed(fading))}."
    return f"{start} No hull's potential surely drifts upwards."


def _picture(seen: View, chemistry: OnRecord) -> None:
    last = chemistry.last_potentials
    if last.empty:
        return
    st.markdown("**Potentials now**")
    widgets.picture(
        cached_answers.picture(
            seen, "potentials",
            draw=lambda: charts.potentials(
                last, galvanic.CURRENT_CAPACITIES, potentials.PROTECTED_STEEL_MV,
                dark=session.is_dark(),
            ),
        ),
        "potentials",
        "Each anode's newest potential in mV, hull by hull, beside the potentials of zinc, "
        "aluminium and magnesium. The list below says what each means.",
    )  # fmt: skip


def _measured(chemistry: OnRecord, answer: Appraisal) -> None:
    table = chemistry.measured
    if table.empty:
        return
    st.header("What was measured, and what it means")
    every = len(table) <= FIRST or st.toggle(f"All {len(table)} readings", key="all_readings")
    zone = answer.logbook.settings.timezone
    rows = [_measured_row(row, zone) for row in table[: None if every else FIRST].itertuples()]
    caption = (
        "The newest of each anode; what asks for a look comes first. Press a row for the hull."
    )
    listing.show(("Anode", "When", "Means", "Read against"), rows, "measured", caption)
    widgets.download(table, "potentials_and_contacts", "Readings as CSV")


def _measured_row(row: Any, zone: Any) -> listing.Row:
    mark = "◆ look" if row.alarm else "as usual"
    return listing.Row(
        (
            listing.strong(f"{row.hull_id} {row.position}", f"{row.what}: {mark}"),
            listing.text(formatting.day(row.read_at, zone)),
            listing.wide(listing.text(row.says)),
            listing.wide(listing.text(row.source)),
        ),
        opens=row.hull_id,
    )


def _drift(chemistry: OnRecord, answer: Appraisal) -> None:
    table = chemistry.drift
    if table.empty:
        return
    st.markdown("**Drift of each hull's potential**")
    zone = answer.logbook.settings.timezone
    rows = [
        listing.Row(
            (
                listing.strong(row.hull_id, formatting.count(row.readings, "reading")),
                listing.text(f"{row.last_mv:.0f} mV on {formatting.day(row.last_at, zone)}"),
                listing.strong(
                    f"{row.mv_per_month:+.1f} mV a month", f"{row.low:+.1f} to {row.high:+.1f}"
                ),
                listing.text("▲ protection fades" if row.fades else "no sure drift"),
            ),
            opens=row.hull_id,
        )
        for row in table[:FIRST].itertuples()
    ]
    caption = "The steepest. Upwards, towards zero, means that protection fades; under it, 95 %."
    listing.show(("Hull", "Last", "Drift", "Says"), rows, "drift", caption)


def _try_one() -> None:
    st.header("What does a reading mean?")
    left, right = st.columns(2)
    with left:
        alloy = st.selectbox("Alloy of the anode", ALLOYS, key="alloy")
        mv = st.number_input(
            "Potential, mV against silver/silver chloride", -2000.0, 1000.0, -950.0, 10.0,
            format="%.0f", key="mv",
        )  # fmt: skip
        metal = st.selectbox("Metal touched", TOUCHED, index=None, key="metal")
        salt = st.number_input("Salt in the water, g/kg", 0.0, 45.0, 35.0, 1.0, key="salt")
        _said(potentials.in_brackish_water(mv, alloy, metal, salt))
        ohm = st.number_input("Anode to casting, ohm", 0.0, 1000.0, 0.2, 0.1, key="ohm")
        _said(potentials.contact_means(ohm))
    with right:
        wear = st.number_input("Wear of the surface, mm a year", 0.0, 500.0, 1.6, 0.1, key="wear")
        _said(potentials.wear_means(wear, alloy))
        grams = st.number_input("Metal lost in 30 days, g", 0.0, 5000.0, 10.0, 1.0, key="grams")
        current = potentials.mean_current_ma(grams, 30.0, alloy)
        st.markdown(f"A mean of {formatting.number(current)} mA over these 30 days.")
        conductivity = st.number_input(
            "Conductivity of the water, mS/cm", 0.0, 80.0, 42.9, 0.1, key="conductivity"
        )
        warm = st.number_input("at a temperature of, C", 0.0, 35.0, 15.0, 0.5, key="warm")
        at_25c = st.checkbox("The meter turned it to 25 °C (many do)", key="at_25c")
        salinity = float(galvanic.salinity_from_conductivity(conductivity, warm, at_25c=at_25c))
        st.markdown(
            f"Practical salinity {formatting.number(salinity)}: "
            f"{galvanic.venice_words(salinity)} (Venice System, 1958)."
        )


def _said(meaning: Meaning) -> None:
    mark = "◆ " if meaning.alarm else ""
    st.markdown(f"{mark}{formatting.plain(meaning.says)}")
    st.caption(f"Read against: {formatting.plain(meaning.source)}")


def _tables() -> None:
    st.markdown("**Alloys and waters**")
    rows = [
        listing.Row(
            (
                listing.strong(f"{row.alloy} in {row.water}", "■ stop" if row.stop else ""),
                listing.text(row.verdict),
                listing.wide(listing.text(row.why)),
                listing.text(row.source),
            )
        )
        for row in galvanic.ALLOYS_AND_WATERS.itertuples()
    ]
    caption = "The manual of the engine and of the part comes first. Never mix alloys on one hull."
    listing.show(("Alloy", "Verdict", "Why", "Source"), rows, "alloys", caption)
    for alloy in ALLOYS:
        st.markdown(f"- {formatting.plain(galvanic.CAUTIONS[alloy])}")
    st.markdown("**Capacities and driving voltages**")
    listing.show(
        ("Alloy", "Theoretical", "In sea water", "Own potential"),
        [_capacity_row(row) for row in galvanic.CURRENT_CAPACITIES.itertuples()],
        "capacities",
        "Theoretical: Faraday constant (CODATA) and standard atomic masses. Others: "
        f"{galvanic.CURRENT_CAPACITIES['source'].iloc[0]}.",
    )
    listing.show(
        ("Alloy", "As sources give it", "Under load", "Source"),
        [_range_row(row) for row in galvanic.CAPACITY_RANGES.itertuples()],
        "capacity_ranges",
        "Capacity differs by alloy and by source; a forecast never rests on it where looks tell.",
    )
    listing.show(
        ("Alloy", "Water", "Resistivity", "Driving voltage"),
        [_driving_row(row) for row in galvanic.DRIVING_VOLTAGES.itertuples()],
        "driving",
        f"{galvanic.DRIVING_VOLTAGES['source'].iloc[0]}.",
    )


def _capacity_row(row: Any) -> listing.Row:
    theory = galvanic.METALS[row.alloy].theoretical_ah_per_kg
    low, high = (each / 0.45359237 for each in (row.low_ah_per_lb, row.high_ah_per_lb))
    span = f"{low:.0f} Ah/kg" if low == high else f"{low:.0f} to {high:.0f} Ah/kg"
    return listing.Row(
        (
            listing.strong(row.alloy),
            listing.text(f"{theory:.0f} Ah/kg"),
            listing.text(span),
            listing.text(f"{1000 * row.potential_v:.0f} mV"),
        )
    )


def _range_row(row: Any) -> listing.Row:
    low, high = row.low_ah_per_kg, row.high_ah_per_kg
    under_load = row.closed_circuit_v
    return listing.Row(
        (
            listing.strong(row.alloy),
            listing.text(f"{low:.0f} Ah/kg" if low == high else f"{low:.0f} to {high:.0f} Ah/kg"),
            listing.text(
                "not on record" if math.isnan(under_load) else f"about {1000 * under_load:.0f} mV"
            ),
            listing.wide(listing.text(row.source)),
        )
    )


def _driving_row(row: Any) -> listing.Row:
    return listing.Row(
        (
            listing.strong(row.alloy),
            listing.text(row.water),
            listing.text(f"{row.from_ohm_cm:g} to {row.to_ohm_cm:g} ohm cm"),
            listing.text(f"{row.driving_v:g} V"),
        )
    )


frame.page("Chemistry", show)
