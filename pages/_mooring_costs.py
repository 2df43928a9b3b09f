"""What anodes cost at each mooring, as far as the logs say."""

from __future__ import annotations

import streamlit as st

from corrosion.appraisal import Appraisal
from corrosion.moorings import Study


def show(study: Study, answer: Appraisal, names: dict[str, str]) -> None:
    """Say what a hull-season costs at each mooring."""
    del study, answer, names
    st.empty()
