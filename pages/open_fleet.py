"""Which fleet is looked at?"""

import streamlit as st

from corrosion import CAUTION
from pages._shared import first_run, session

if session.folder_is_fixed():
    st.info("The fleet was chosen where the server was started (FLEET_LOGS).")
else:
    first_run.choose()
st.divider()
st.caption(CAUTION)
