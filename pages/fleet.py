"""How are all of them, and in the weeks ahead?"""

from __future__ import annotations

import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from pages._fleet import ahead, choice, glance, ranked, whatif_panel
from pages._shared import cached_answers, frame, odd_ones, week_lists, widgets, worked_out
from pages._shared.session import View


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then every hull at a glance, the ranking, the weeks ahead, and what if."""
    fleet = cached_answers.fleet(seen)
    answer_place = st.container()
    chosen = choice.ask(fleet.hulls)
    with answer_place:
        widgets.say(choice.sentence(chosen, fleet, answer))
    if chosen.empty:
        st.info("No hull fits what was chosen above.")
        return
    glance.show(chosen)
    ranked.show(chosen, answer)
    ahead.show(seen, fleet, chosen, answer)
    _odd(seen, answer)
    whatif_panel.show(seen, answer)
    week_lists.not_judged(answer)
    worked_out.show(answer)


def _odd(seen: View, answer: Appraisal) -> None:
    cases = odd_ones.cases(cached_answers.odd(seen))
    if cases:
        with st.expander(f"What is odd: {formatting.count(cases, 'case')}, each with what to do"):
            odd_ones.everything(seen, answer)


frame.page("Fleet", show)
