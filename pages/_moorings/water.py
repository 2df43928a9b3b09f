"""The water at each mooring, dated."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import MooringStudy
from corrosion.forecast import Appraisal
from corrosion.reports import charts
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View


def show(seen: View, study: MooringStudy, answer: Appraisal, names: dict[str, str]) -> None:
    """Name each water, and draw its samples over time."""
    listing.show(
        ("Mooring", "Salinity", "By the Venice System", "Temperature", "Samples"),
        [_row(row, names) for row in study.water.itertuples()],
        "water_names",
        "Salinity in g of salt a kg of water: middle, and the range of 8 samples in 10. The Venice "
        "System (1958) names waters by it: fresh under 0.5, oligohaline to 5, mesohaline to 18 "
        "(all brackish), polyhaline to 30 (nearly the sea), euhaline to 40 (the sea).",
    )
    for row in study.water.itertuples():
        _doubts(row, formatting.plain(names[row.mooring_id]))
    samples = study.samples[study.samples["salinity"].notna()]
    if samples.empty:
        st.markdown(
            "No water was sampled: the registers' own salinity stands above. A sample a fortnight "
            "(conductivity with temperature will do) shows what the season does."
        )
        return
    zone = answer.logbook.settings.timezone
    shown = samples.assign(
        label=samples["mooring_id"].map(names),
        at=pd.DatetimeIndex(samples["sampled_at"]).tz_convert(zone),
    )
    widgets.picture(
        cached_answers.picture(
            seen, "water", draw=lambda: charts.water_over_time(shown, dark=session.is_dark())
        ),
        "water",
        "Salinity and temperature of each mooring's samples over time.",
    )
    st.caption(
        f"Dates in {formatting.plain(zone.key)}. Open circles: worked out from conductivity and "
        "temperature (PSS-78). Filled: measured."
    )
    widgets.download(study.samples, "water_samples", "Water samples as CSV")


def _row(row: Any, names: dict[str, str]) -> listing.Row:
    known = pd.notna(row.salinity_middle)
    warm = pd.notna(row.temperature_low)
    return listing.Row(
        (
            listing.strong(names[row.mooring_id], f"{row.water} in the register"),
            listing.strong(
                formatting.number(row.salinity_middle) + (" g/kg" if known else ""),
                f"{formatting.number(row.salinity_low)} to {formatting.number(row.salinity_high)}"
                if row.samples
                else "from the register",
            ),
            listing.strong(row.zone or "not known", row.zones),
            listing.text(
                f"{row.temperature_low:.0f} to {row.temperature_high:.0f} °C"
                if warm
                else "not known"
            ),
            listing.text(row.samples),
        )
    )


def _doubts(row: Any, name: str) -> None:
    if row.disagrees:
        st.warning(
            f"{name} is {row.water} in the register, but its samples say {row.zone}: check the "
            "register, or the meter."
        )
    elif row.changes:
        st.markdown(
            f"{name} wanders between {row.zones.replace(', ', ' and ')} water through the season, "
            "so one number for its wear is a mean over the season sampled."
        )
