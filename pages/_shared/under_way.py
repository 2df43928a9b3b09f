"""What a page says while a plan is worked out beside it.

An answer that is being kept cannot draw on a page. So it is worked out in a thread of its own,
which notes how far it is, and the page looks at that note until the answer is there. Whoever asks
the same meanwhile reads the same note and waits for the same answer; one who leaves the page stops
looking, and the answer is kept all the same.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future, wait
from typing import Final, TypeVar

import streamlit as st

from corrosion.common import formatting
from corrosion.workshop import STAGES, PlanProgress, Watch

Answer = TypeVar("Answer")
QUIET_S: Final = 0.4
"""A plan that is there sooner says nothing: words that come and go at once are only flicker."""
EVERY_S: Final = 0.3
MOST_NOTES: Final = 32
_notes: OrderedDict[Hashable, str] = OrderedDict()
_one_at_a_time = threading.Lock()


def teller(currency: str, *about: Hashable) -> Watch:
    """Give what notes how far an answer is, for everybody who waits for it."""

    def note(progress: PlanProgress) -> None:
        with _one_at_a_time:
            _notes[about] = said(progress, currency)
            _notes.move_to_end(about)
            while len(_notes) > MOST_NOTES:
                _notes.popitem(last=False)

    return note


def wait_for(answer: Callable[[], Answer], about: tuple[Hashable, ...], says: str) -> Answer:
    """Work an answer out beside the page; what it raises, the page raises."""
    spot, coming = st.empty(), Future[Answer]()
    threading.Thread(target=_work, args=(answer, coming), name="plan", daemon=True).start()
    if wait([coming], QUIET_S).done:
        return coming.result()
    with spot.container(), st.spinner(says, show_time=True):
        line = st.empty()
        while not wait([coming], EVERY_S).done:
            line.caption(_notes.get(about, ""))
    spot.empty()
    return coming.result()


def said(progress: PlanProgress, currency: str) -> str:
    """Say how far a plan is, in a sentence or two."""
    work = STAGES[progress.stage]
    if not progress.round:
        return f"{work[:1].upper()}{work[1:]}."
    now = f"Round {progress.round} of {progress.rounds} at most: {work}."
    if progress.cost is None or progress.gap is None:
        return now
    cost = formatting.price(progress.cost, currency)
    sure = (
        f"another could be cheaper by {formatting.share(progress.gap)} at most"
        if progress.gap > 0.0
        else "proven cheapest for what was known of the hires"
    )
    return f"{now} Cheapest so far: {cost} in all, {sure}."


def _work(answer: Callable[[], Answer], coming: Future[Answer]) -> None:
    try:
        coming.set_result(answer())
    except BaseException as refusal:  # the page that waits raises it
        coming.set_exception(refusal)
