"""One entry on its way into the logs: typed, asked about, written, or refused and kept.

A `Book` is held in the session and changed in place. What makes a tap one row, however often it
is tapped, is the name: it belongs to the form as it was drawn (this browser, this fleet, this kind,
this form), and a form that was written is not drawn again. The next one comes when somebody asks
for it, or chooses another hull or kind.

On a second tap Streamlit starts the page anew while the first run still asks about the draft: for
a while two threads hold the same press. Both write under the name that they drew, never under one
read from the book when they come to it, which may be the next form's by then.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from uuid import NAMESPACE_OID, UUID, uuid4, uuid5

from corrosion.common import Refusal
from corrosion.data_entry import (
    Alarm,
    Desk,
    Draft,
    Question,
    entry_under,
    next_question,
    write_draft,
)
from pages._shared import kept_forms, visitors

ONE_AT_A_TIME = threading.Lock()
"""Held from the last look at the logs to the row: of two tabs the second sees the first's row."""


@dataclass
class Book:
    """What a session is about to write.

    Attributes
    ----------
    owner : str
        Browser and fleet that the form was drawn for; the same form elsewhere is another one.
    kind : str
        Kind of entry.
    form : str
        Mark of the form, which stands in the address; a new one for each entry.
    written : bool
        The form was written, and is not drawn again.
    about : tuple of str
        Kind and hull of the entry that was written last.
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
    typed : dict
        What the form held when it was sent.
    alarms : tuple of Alarm
        What may not wait, until somebody says that it was passed on.
    """

    owner: str = ""
    kind: str = ""
    form: str = field(default_factory=lambda: str(uuid4()))
    written: bool = False
    about: tuple[str, ...] = ()
    draft: Draft | None = None
    instead_of: int | None = None
    question: Question | None = None
    wrong: tuple[str, ...] = ()
    refused: str = ""
    said: tuple[str, ...] = ()
    typed: dict[str, object] = field(default_factory=dict)
    alarms: tuple[Alarm, ...] = ()

    @property
    def name(self) -> str:
        """`entry_id` of the row that the form writes: the same form, the same row."""
        return self.name_of(self.form)

    def name_of(self, form: str) -> str:
        """`entry_id` of the row that another form of this kind would write."""
        return str(uuid5(NAMESPACE_OID, f"{self.owner}/{self.kind}/{form}"))

    def next_form(self, form: str = "") -> None:
        """Begin the next entry, with a form and a name of its own; `form`: with that mark."""
        self.form, self.written, self.about = form or str(uuid4()), False, ()
        self._clear()

    def turn_to(self, kind: str) -> None:
        """Turn to another kind of entry; what was asked and said about the other one is over."""
        if kind != self.kind:
            self.kind = kind
            self._clear()

    def finish(self, *sentences: str) -> None:
        """Note that the form was written, or that nothing is to be written of it."""
        kept_forms.forget_form(self.name)
        self.written = True
        self._clear()
        self.said = sentences

    def _clear(self) -> None:
        self.draft, self.question, self.instead_of = None, None, None
        self.wrong, self.refused = (), ""


def book_of(owner: str, name: str) -> Book:
    """Open a book at the form that the address asks for; any other text opens a new form."""
    try:
        return Book(owner, form=str(UUID(name)))
    except ValueError:
        return Book(owner)


def enter(
    book: Book,
    folder: Path,
    desk: Desk,
    draft: Draft,
    by: str,
    say: Callable[[Draft], str],
    instead_of: int | None = None,
    *,
    name: str = "",
    newest: Callable[[], Desk] | None = None,
) -> bool:
    """Take a draft as far as it goes: to what is wrong, to a question, or into the log.

    `name` is the book's when the form was drawn. `newest` reads the logs again; with it, a row that
    another tab wrote meanwhile is asked about.
    Returns True when it was written, or when the answer was to write nothing.
    """
    name = name or book.name
    book.draft, book.instead_of, book.question = draft, instead_of, None
    book.wrong, book.refused, book.said = draft.wrong, "", ()
    if draft.wrong or (draft.rows and _asked(book, draft, desk, instead_of, name)):
        return False
    if not draft.rows:
        book.finish("Nothing was written.")
        return True
    with ONE_AT_A_TIME:
        later = desk if newest is None else newest()
        if later.checked is not desk.checked and _asked(book, draft, later, instead_of, name):
            return False
        return _write(book, folder, draft, by, later, say(draft), name)


def enter_plainly(book: Book, folder: Path, desk: Desk, draft: Draft, by: str, said: str) -> bool:
    """Write a draft that raises no questions; True when it was written."""
    book.draft, book.question, book.wrong, book.refused = None, None, draft.wrong, ""
    return not draft.wrong and _write(book, folder, draft, by, desk, said, book.name)


def _asked(book: Book, draft: Draft, desk: Desk, instead_of: int | None, name: str) -> bool:
    """Ask what stands in the way; of the form's own row, sent again, nothing is asked."""
    if entry_under(desk.logbook, draft, name) is None:
        book.question = next_question(draft, desk, instead_of)
    return book.question is not None


def _write(
    book: Book, folder: Path, draft: Draft, by: str, desk: Desk, said: str, name: str
) -> bool:
    earlier = entry_under(desk.logbook, draft, name)
    if earlier is not None and not earlier.same:
        _sent_before(book, earlier.tells)
        return False
    try:
        kept = write_draft(folder, draft, visitors.writer(by), name, desk.entered)
    except Refusal as refusal:
        book.refused = str(refusal)
        return False
    if kept.other:
        _sent_before(book, kept.other)
        return False
    book.finish(said, *kept.said)
    return True


def _sent_before(book: Book, tells: str) -> None:
    """Say what was written under this form, and keep what is typed now in the next one."""
    book.next_form()
    kept_forms.keep_form(book.name, book.typed)
    book.refused = (
        f"This form was sent before, perhaps from another tab, and then said: {tells}. "
        "That stands in the log."
    )
