"""What a phone needs and Streamlit has no word for: digits for numbers, two taps that are one.

That two taps write one row is held by the form's name (`pages._shared.entry`); here the second one
is only kept from what is drawn under the thumb by then.
"""

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
  const within_ms = 700, within_px = 40;
  let last = null;
  const tap = (event) => {
    const near = last && performance.now() - last.at < within_ms
      && Math.hypot(event.clientX - last.x, event.clientY - last.y) < within_px;
    if (near) { event.preventDefault(); event.stopImmediatePropagation(); return; }
    const sends = event.target.closest && event.target.closest("[data-testid=stFormSubmitButton]");
    last = sends ? { at: performance.now(), x: event.clientX, y: event.clientY } : null;
  };
  window.addEventListener("click", tap, true);
  return () => { watch.disconnect(); window.removeEventListener("click", tap, true); };
}
""",
)


def digits() -> None:
    """Ask phones to show digits for number fields, and to take two taps in one place for one."""
    _mount(data={"html": ""}, key="digits")
