"""One entry on its way into the logs: typed, asked about, written, or refused and kept.

A `Book` is held in the session and changed in place. The functions that write touch no part of
Streamlit: a second tap stops the script at its next call of Streamlit, and between the file and
the next name of the form there is none.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from uuid import uuid4

import pandas as pd

from corrosion.common import Refusal
from corrosion.data_entry import Desk, Draft, Question, next_question, write_draft
from pages._shared import kept_forms

TAPS_WITHIN_S = 5.0
"""Nobody means the very same row twice within so many seconds."""


@dataclass
class Book:
    """What a session is about to write.

    Attributes
    ----------
    name : str
        Name of the form, and of the row that it will write; a new one after each entry.
    draft : Draft or None
        Waiting for answers.
    instead_of : int or None
        `log_row` of the row that the draft takes the place of.
    question : Question or None
        What is asked now.
    wrong : tuple of str
        What has to be mended in the form.
    refused : str
        Why it could not be written.
    said : tuple of str
        What to say about the entry that was written last.
    last : tuple of str and float
        What was written last, and when (s, `time.monotonic`).
    """

    name: str = field(default_factory=lambda: str(uuid4()))
    draft: Draft | None = None
    instead_of: int | None = None
    question: Question | None = None
    wrong: tuple[str, ...] = ()
    refused: str = ""
    said: tuple[str, ...] = ()
    last: tuple[str, float] = ("", 0.0)


def enter(
    book: Book,
    place: Path,
    desk: Desk,
    draft: Draft,
    by: str,
    say: Callable[[Draft], str],
    instead_of: int | None = None,
) -> bool:
    """Take a draft as far as it goes: to what is wrong, to a question, or into the log.

    Returns True when it was written, or when the answer was to write nothing.
    """
    book.draft, book.instead_of, book.question = draft, instead_of, None
    book.wrong, book.refused, book.said = draft.wrong, "", ()
    if draft.wrong:
        return False
    book.question = next_question(draft, desk, instead_of)
    if book.question is not None:
        return False
    if not draft.rows:
        _turn_page(book, ("Nothing was written.",))
        return True
    return _write(book, place, draft, by, desk.entered, say(draft))


def enter_plainly(book: Book, place: Path, desk: Desk, draft: Draft, by: str, said: str) -> bool:
    """Write a draft that raises no questions; True when it was written."""
    book.draft, book.question, book.wrong, book.refused = None, None, draft.wrong, ""
    return not draft.wrong and _write(book, place, draft, by, desk.entered, said)


def _write(book: Book, place: Path, draft: Draft, by: str, now: pd.Timestamp, said: str) -> bool:
    content = repr([(row.log, sorted(row.cells.items(), key=str)) for row in draft.rows])
    if content == book.last[0] and time.monotonic() - book.last[1] < TAPS_WITHIN_S:
        # the second tap of two met the next form, which has another name: one row is there already
        _turn_page(book, (said,))
        return True
    try:
        kept = write_draft(place, draft, by, book.name, now)
    except Refusal as refusal:
        book.refused = str(refusal)
        return False
    book.last = content, time.monotonic()
    _turn_page(book, (said, *kept.said))
    return True


def _turn_page(book: Book, said: tuple[str, ...]) -> None:
    """Give the next entry a form with a name of its own."""
    kept_forms.forget_form(book.name)
    book.name, book.draft, book.question = str(uuid4()), None, None
    book.instead_of, book.wrong, book.refused, book.said = None, (), "", said
