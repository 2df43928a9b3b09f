"""A layout as plain fields, for a thumb: of each place what a new anode measures, and its limit."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import blank_layout
from corrosion.records import ALLOYS

_MEASURED = {"length": "its length", "diameter": "its diameter", "thickness": "its thickness"}
_WET_BY = {"engine": "wetted by the cooling water", "hull": "wetted by what the hull lies in"}


def show(key: str, arrangement: str, unit: str) -> pd.DataFrame:
    """Ask for the sizes of an arrangement's places; gives a table as `layout_rows` takes it.

    A place of which neither size is typed is left out.
    """
    st.caption(
        "Sizes, metal and limits stand in the engine's own manual. Costs, part numbers and "
        "intervals can be added in *Registers*. A place that this engine does not have: leave both "
        "of its sizes empty."
    )
    with st.container(horizontal=True):
        alloy = st.selectbox("Metal of the anodes", [*ALLOYS], None, key=f"{key}_alloy",
                             placeholder="as the manual says")  # fmt: skip
        source = st.text_input("Manual and page of the limits", key=f"{key}_source",
                               placeholder="engine manual, p. 41")  # fmt: skip
    layout = blank_layout(arrangement)
    for at, spot in layout.iterrows():
        name = str(spot["position"])
        st.markdown(
            f"**{formatting.plain(name)}**, {_WET_BY[spot['circuit']]}; "
            f"measured: {_MEASURED[spot['gauge']]}"
        )
        with st.container(horizontal=True):
            for column, label in (("new_size_mm", "new"), ("limit_size_mm", "replace at")):
                layout.loc[at, column] = st.text_input(f"{name}: {label}, {unit}",
                                                       key=f"{key}_{name}_{column}")  # fmt: skip
    sized = layout[["new_size_mm", "limit_size_mm"]].ne("").any(axis="columns")
    return layout[sized].assign(alloy=alloy or "", limit_source=source)
