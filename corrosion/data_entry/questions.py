"""Questions about a draft: each with its answers, so that nothing is converted in silence."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from corrosion.data_entry.drafts import Draft, Row
from corrosion.data_entry.known import Desk

AS_IT_IS: Final = "It is right as typed"


@dataclass(frozen=True)
class Answer:
    """An answer that can be pressed, and the draft that it makes; without rows, none is written."""

    label: str
    draft: Draft


@dataclass(frozen=True)
class Question:
    """What is asked before a draft is written.

    Attributes
    ----------
    name : str
        The rule that asks.
    asks : str
        One or two sentences, with what was typed in them.
    answers : tuple of Answer
        At least two. That the reader goes back and types something else is always open.
    """

    name: str
    asks: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True)
class About:
    """What a question is worked out from: the draft, the desk, and the rules that object."""

    draft: Draft
    desk: Desk
    rules: frozenset[str]

    @property
    def row(self) -> Row:
        """The row that is asked about."""
        return self.draft.main

    def answer(self, name: str, label: str, *rows: Row, **cells: object) -> Answer:
        """Give the answer that changes cells of the first row and adds rows."""
        changed = self.draft.with_main(**cells)
        for row in rows:
            changed = changed.and_row(row)
        return Answer(label, changed.answered(name, label))

    def stays(self, name: str, label: str = AS_IT_IS) -> Answer:
        """Give the answer that changes nothing."""
        return self.answer(name, label)

    def nothing(self, label: str) -> Answer:
        """Give the answer after which nothing is written."""
        return Answer(label, replace(self.draft, rows=()))


Asker = Callable[[About], Question | None]


def confirm(name: str, asks: str) -> Asker:
    """Make an asker that only wants a yes where a rule objects."""

    def ask(about: About) -> Question | None:
        if name not in about.rules:
            return None
        return Question(name, asks, (about.stays(name),))

    return ask


def twice(names: Sequence[str], what: str) -> Asker:
    """Make an asker for entries that are in the log already."""

    def ask(about: About) -> Question | None:
        rules = [name for name in names if name in about.rules]
        if not rules:
            return None
        asks = f"This {what} is in the log already. Was it written down before?"
        leave = about.nothing("Yes: write nothing")
        return Question(rules[0], asks, (leave, about.stays(rules[0], f"No, another {what}")))

    return ask
