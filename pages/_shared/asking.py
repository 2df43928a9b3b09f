"""What a form that was sent has to say: what is wrong, why nothing was written, what it asks."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from corrosion.common import formatting
from corrosion.data_entry import Draft
from pages._shared.entry import Book


def say_refused(book: Book, then: str = "") -> None:
    """Say what is wrong, and that nothing was written; `then`: what became of the text."""
    for sentence in book.wrong:
        st.error(formatting.plain(sentence))
    if book.refused:
        st.error(f"**Not written.** {formatting.plain(book.refused)}{then}")


def ask(book: Book, mark: str, take: Callable[[Draft], None], *, hint: str = "",
        wide: bool = True) -> None:  # fmt: skip
    """Ask the question that a draft raises, with a button for each answer.

    `mark` tells its buttons from those of other forms; `take` gets the draft of the answer.
    """
    question = book.question
    if question is None:
        return
    with st.container(key="question", border=True):
        st.markdown(f"**{formatting.plain(question.asks)}**")
        for number, answer in enumerate(question.answers):
            key = f"{mark}_{question.name}_{number}"
            width = "stretch" if wide else "content"
            if st.button(formatting.label(answer.label), key=key, width=width):
                take(answer.draft)
        if hint:
            st.caption(hint)
