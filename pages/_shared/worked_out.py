"""How the answer was worked out, in the words of somebody who has to defend it."""

from __future__ import annotations

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.records import Logbook, stamp


def explain(logbook: Logbook, *sentences: str) -> None:
    """Say how a page's answer was worked out, point by point; the method's version stands under it.

    The sentences speak to whoever has to defend the answer in front of people, and may be
    Markdown: what a function does in the words of its own file is for those who read the file.
    """
    with st.expander("How this is worked out"):
        st.markdown("\n".join(f"- {sentence}" for sentence in sentences))
        method(logbook)


def method(logbook: Logbook) -> None:
    """Say which fleet, moment and method the answer is of."""
    st.caption(formatting.plain(stamp(logbook)))


def of_today(answer: Appraisal) -> str:
    """Say of how many readings the fleet's rates do not know yet; nothing where they know all."""
    resting = answer.life.resting
    if not resting:
        return ""
    readings = formatting.count(resting, "reading")
    return (
        f"- **Taken or written down today:** {readings}. Each counts for its own hull at once, and "
        "from midnight on for the rates that all hulls share."
    )


def show(answer: Appraisal) -> None:
    """Say what was read, how the chance comes about, and what it leaves out."""
    forecast, checked = answer.forecast, answer.checked
    tolerated = formatting.chance(answer.logbook.settings.tolerated_risk)
    with st.expander("How this is worked out"):
        st.markdown(
            f"""
Read, after setting aside what is counted above:
{formatting.count(len(checked.readings), "reading")},
{formatting.count(len(checked.outings), "outing")},
{formatting.count(len(checked.flushes), "flush entry", "flush entries")};
{formatting.count(len(forecast.anodes), "anode")} in service.

- **Worn** is the share of an anode's allowance (new size less limit) that is used up. It follows
  three clocks: hours running, salty wet hours after shut-down until a flush or until dry, and
  hours afloat, each by water and temperature. How much each hour wears is fitted to this fleet's
  own readings, with a part that belongs to the hull and one that belongs to the anode.
- **Chance** is the chance that worn reaches 1 by the date said if nobody touches the anode, with
  the hours booked, or else the hull's own recent habit. A hull's chance is that of at least one
  of its anodes; they share the hull, so they are not multiplied as if they were strangers.
- **Pull by** is the last date on which that chance is still within {tolerated}, which this fleet
  tolerates (`tolerated_risk` in `fleet.toml`).
- The number of hulls *if nobody acts* is the 10 % to 90 % range when hulls are taken one by one
  as independent; a hot spell that wears all of them faster would widen it.
- Anodes that read low are looked at sooner and pulled early. Pulled early is not counted as worn
  out, a look tells of the wear since the one before whatever prompted it, and a limit crossed
  between two looks is crossed somewhere between them.
- What is not in the logs is not in the chance: stray current that starts tomorrow, a blow, a
  loose bolt. An anode that does not wear in salt water is an alarm, not a saving.
{of_today(answer)}
"""
        )
        method(answer.logbook)
