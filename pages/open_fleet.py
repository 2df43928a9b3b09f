"""Which fleet is looked at?"""

import streamlit as st

from pages import _first_run, _frame, _seen

if _seen.folder_is_fixed():
    st.info("The fleet was chosen where the server was started (FLEET_LOGS).")
else:
    _first_run.choose()
st.divider()
st.caption(_frame.DISCLAIMER)
