"""How is this hull, and why?"""

from __future__ import annotations

from collections.abc import Hashable

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal, stops_in_words
from corrosion.reports import Dossier
from pages._hull import plan_line
from pages._shared import (
    anode_cards,
    cached_answers,
    frame,
    history_list,
    listing,
    odd_ones,
    session,
    week_lists,
    widgets,
    worked_out,
)
from pages._shared.session import View

WORKED_OUT = (
    "**The course** of an anode is carried on from its looks by what an hour wears in each state "
    "(running, left unflushed, afloat) and the hours ahead: booked, else the hull's own habit. Its "
    "band adds up what is not known of the anode's own pace, the hull's, the fleet's rates, wear "
    "that comes and goes, and the use ahead.",
    "**The hull's chance** is that of at least one worn anode. They share the hull's pace and use, "
    "so their chances are not multiplied as if they were strangers.",
    "**What is odd** is told against the hull's sisters, hulls alike in water and layout, with the "
    "number of comparisons counted in.",
)


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then every anode, the hours, and what was written down."""
    hull_id = _chosen(answer)
    hull = None if hull_id is None else cached_answers.hull(seen, hull_id)
    if hull is None:
        _offer(answer)
        return
    widgets.say(_sentence(hull, answer))
    _stop(hull.hull_id, answer)
    plan_line.show(hull.hull_id, seen, answer)
    if not hull.anodes.empty:
        anode_cards.picture(hull, seen, answer)
        anode_cards.show(hull, seen, answer)
    odd_ones.hull(seen, hull.hull_id, answer)
    _standing(hull, answer)
    if not hull.anodes.empty:
        widgets.all_cautions()
    with st.expander("Hours by clock, the last 12 weeks"):
        history_list.hours(hull, seen, answer)
    with st.expander(f"History: {formatting.count(len(hull.history), 'entry', 'entries')}"):
        history_list.entries(hull, answer)
    _report(hull.hull_id, seen)
    worked_out.explain(answer.logbook, *WORKED_OUT)


def _stop(hull_id: str, answer: Appraisal) -> None:
    """Say why the hull must not sail, where the head of the page has no room left for it."""
    hulls = answer.forecast.hulls
    at_head = stops_in_words(hulls)[: frame.STOPS_SHOWN]
    for line in stops_in_words(hulls[hulls["hull_id"] == hull_id]):
        if line not in at_head:
            st.error(f"**▲ {formatting.plain(line)}**")


def _report(hull_id: str, seen: View) -> None:
    """Offer the hull's whole story for whoever audits it."""
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(
            "**For the auditor**: history with corrections and gaps, limits with their sources, "
            "forecasts as they were issued.",
            width="stretch",
        )
        for paper, name in (("a4", "A4"), ("letter", "Letter")):
            st.download_button(
                f"Report, {name}",
                data=lambda paper=paper: cached_answers.hull_story(seen, hull_id, paper).encode(
                    "utf-8"
                ),
                file_name=f"hull_{hull_id}_{paper}.html",
                mime="text/html",
                key=f"report_{paper}",
                icon=":material/print:",
                on_click="ignore",
            )


def _chosen(answer: Appraisal) -> str | None:
    """Let the reader choose a hull, and say so when the address names one that is not there."""
    hulls = _names(answer)
    asked = st.query_params.get("hull")
    if not hulls:
        st.info("The logs hold no hull yet.")
        return None
    stray = bool(asked) and asked not in hulls
    if stray:
        st.warning(
            f"There is no hull {formatting.plain(asked)} in these logs as of that date. "
            "Choose one below, or check the address."
        )
        st.session_state.pop("hull", None)
    session.keep_hull("hull", hulls)
    return st.selectbox(
        "Hull",
        hulls,
        label_visibility="collapsed",
        index=None,
        key="hull",
        bind="query-params",
        placeholder="Choose a hull",
    )


def _offer(answer: Appraisal) -> None:
    """Show the riskiest hulls to press: none is shown unasked, so every address names its hull."""
    if answer.forecast.hulls.empty:
        return
    st.header("The riskiest now")
    week_lists.hull_list(answer.forecast.hulls[:5], answer, "offered", "Press a row for the hull.")


def _names(answer: Appraisal) -> list[str]:
    """List the hulls, riskiest first, then those not judged, then the rest of the register."""
    forecast = answer.forecast
    every = [*forecast.hulls["hull_id"], *forecast.not_judged["hull_id"]]
    every += sorted(answer.logbook.hulls["hull_id"].dropna())
    return list(dict.fromkeys(map(str, every)))


def _sentence(hull: Dossier, answer: Appraisal) -> str:
    zone = answer.logbook.settings.timezone
    name = formatting.plain(hull.hull_id)
    if hull.standing is None:
        return f"**{name} cannot be judged.** {formatting.plain(_reason(hull))}"
    by = formatting.last_day(answer.until, zone)
    chance = formatting.chance(hull.standing["risk"])
    level = formatting.level(hull.standing["risk"], answer.logbook.settings.tolerated_risk)
    stop = "**\N{BLACK UP-POINTING TRIANGLE} Not for hire.** " if hull.standing["stop"] else ""
    return (
        f"{stop}**{level}: {chance} that an anode of {name} reaches its limit by {by}** if nobody "
        f"touches it. {_pull_out(hull, answer)}"
    )


def _pull_out(hull: Dossier, answer: Appraisal) -> str:
    pull_by = widgets.pull_by(hull.standing, answer)
    if pull_by == "today":
        return "**Pull it out today.**"
    return (
        f"Pull it out by **{pull_by}**." if pull_by[0].isupper() else f"Pulling it out: {pull_by}."
    )


def _reason(hull: Dossier) -> str:
    return hull.not_judged or "It is not in service at that date; its history is below."


def _standing(hull: Dossier, answer: Appraisal) -> None:
    zone = answer.logbook.settings.timezone
    st.header("The hull")
    facts = {
        "Name": hull.name or "none",
        "Berth": _berth(hull, zone),
        "Layout": hull.layout or "not known",
        "Next hire": formatting.moment(hull.next_hire, zone) if hull.next_hire else "none booked",
    }
    if hull.standing is not None:
        rank = f"{hull.standing['rank']} of {len(answer.forecast.hulls)}"
        facts = {"Rank by risk": rank, "Why": hull.standing["why"], **facts}
    listing.facts(facts, "standing")


def _berth(hull: Dossier, zone: Hashable) -> str:
    if not hull.mooring_id:
        return "not known"
    return (
        f"{hull.mooring_id}, {hull.stays or 'not known'} since {formatting.day(hull.since, zone)}"
    )


frame.page("Hull", show)
