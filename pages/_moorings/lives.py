"""Life curves by mooring: counted, bracketed, and as the life model has them."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import Curves, MooringStudy
from corrosion.reports import charts
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View

CIRCUITS = {"engine": "Engine circuit", "hull": "Hull circuit"}


def show(seen: View, study: MooringStudy, names: dict[str, str]) -> None:
    """Show the curves that people know, with what bends them said beside them."""
    if not study.curves:
        return
    circuit = st.segmented_control(
        "Circuit",
        list(study.curves),
        default=next(iter(study.curves)),
        format_func=lambda key: CIRCUITS[key],
        key="circuit",
        required=True,
        label_visibility="collapsed",
    )
    curves = study.curves[str(circuit)]
    panels = {_heading(row, names): _panel(curves, row.mooring_id) for row in _rows(curves)}
    widgets.picture(
        cached_answers.picture(
            seen,
            "lives",
            circuit,
            draw=lambda: charts.life_curves(panels, curves.lives.unit, dark=session.is_dark()),
        ),
        f"lives_{circuit}",
        "Share of anodes not yet at their limit by exposure, one panel a mooring, with how many "
        "were still under watch; the list below says how the lives ended.",
    )
    st.caption(
        "Solid, with its 95 % band: anodes counted (Kaplan-Meier, worn in the middle between the "
        "last look before the limit and the first at it). Crosses: the brackets alone, no moment "
        "chosen (Turnbull). Dashed: the life model. Under each panel: anodes still under watch."
    )
    _endings(curves, names)
    _tests(curves, names)


def _rows(curves: Curves) -> list[Any]:
    return list(curves.endings.itertuples())


def _heading(row: Any, names: dict[str, str]) -> str:
    return (
        f"{names[row.mooring_id]}: {formatting.count(row.worn, 'anode')} seen worn of {row.lives}"
    )


def _panel(curves: Curves, mooring_id: str) -> dict[str, pd.DataFrame]:
    tables = {
        "counted": curves.counted,
        "brackets": curves.brackets,
        "model": curves.model,
        "watched": curves.watched,
    }
    return {name: table[table["group"] == mooring_id] for name, table in tables.items()}


def _endings(curves: Curves, names: dict[str, str]) -> None:
    rows = [
        listing.Row(
            (
                listing.strong(names[row.mooring_id], formatting.count(row.hulls, "hull")),
                listing.text(row.worn),
                listing.text(row.pulled_early),
                listing.text(row.running),
            )
        )
        for row in _rows(curves)
    ]
    listing.show(
        ("Mooring", "Seen worn", "Pulled early", "Still in service"),
        rows,
        "endings",
        "How the lives behind the curves ended.",
    )
    early, worn = (int(curves.endings[c].sum()) for c in ("pulled_early", "worn"))
    if early > worn / 4:
        st.markdown(
            f"**{early} anodes were pulled early, before any look found them worn, against {worn} "
            "seen worn.** Mostly they came out because they looked nearly spent, so the solid "
            "curves promise too long a life. The dashed one counts every reading on the way, and "
            "is the one to go by."
        )
    lives = curves.lives
    out = [
        f"{formatting.count(lives.moved, 'life', 'lives')} of hulls that moved meanwhile"
        * bool(lives.moved),
        f"{formatting.count(lives.unknown, 'life', 'lives')} whose fitting nobody wrote down"
        * bool(lives.unknown),
    ]
    if any(out):
        st.caption(f"Left out: {' and '.join(part for part in out if part)}.")
    widgets.download(lives.table, f"lives_{lives.circuit}", "These lives as CSV")


def _tests(curves: Curves, names: dict[str, str]) -> None:
    with st.expander("Cross-checks: log-rank and proportional hazards"):
        st.markdown(formatting.plain(curves.log_rank))
        if curves.hazards.empty:
            st.markdown(formatting.plain(curves.no_hazards))
            return
        lines = [
            f"- {formatting.plain(names[row.mooring_id])} against "
            f"{formatting.plain(names[row.against])}: "
            f"{row.ratio:.2g} times the hazard ({row.low:.2g} to {row.high:.2g})"
            for row in curves.hazards.itertuples()
        ]
        sentence = (
            "Proportional hazards (Cox, ties by Efron, standard errors clustered on hulls; "
            "moorings where no anode was seen worn are left out). A hazard ratio is not a ratio of "
            "wear: the adjusted number above is."
        )
        st.markdown("\n".join([sentence, "", *lines]))
