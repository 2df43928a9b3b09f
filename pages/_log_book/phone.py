"""What a phone needs and Streamlit has no word for: digits on the keyboard of a number field."""

from __future__ import annotations

import streamlit as st

# a comma is on the decimal keyboard where the phone's language has one
_mount = st.components.v2.component(
    "corrosion.digits",
    html="<span hidden></span>",
    js="""
export default function () {
  const fields = "[class*='st-key-digits_'] input";
  const set = () => document.querySelectorAll(fields).forEach((field) => {
    field.inputMode = "decimal";
    field.autocomplete = "off";
  });
  set();
  const watch = new MutationObserver(set);
  watch.observe(document.body, { childList: true, subtree: true });
  return () => watch.disconnect();
}
""",
)


def digits() -> None:
    """Ask phones to show digits for the number fields of the page."""
    _mount(data={"html": ""}, key="digits")
