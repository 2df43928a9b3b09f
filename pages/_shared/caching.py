"""How answers are kept: for one state of the logs, whoever asks; a refusal is never kept."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass, replace
from typing import Any, Concatenate, Generic, ParamSpec, TypeVar
from weakref import ref

import streamlit as st

from corrosion.common import Remembered
from corrosion.forecast import record_file, widening_asked
from corrosion.records import fingerprint
from pages._shared import session, under_way

Asked = ParamSpec("Asked")
Answer = TypeVar("Answer")


Written = TypeVar("Written")


@dataclass(frozen=True)
class Key:
    """What an answer hangs on; `widen` is what the newest track record asks of the ranges."""

    logs: str
    folder: str
    on: str | None
    days: int
    widen: float

    def at(self, days: int) -> Key:
        """Return the key of the same logs, so many days ahead."""
        return replace(self, days=days)


class Cached(Generic[Asked, Answer]):
    """A question that is answered once for each state of the logs, whoever asks."""

    def __init__(
        self,
        answer: Callable[Concatenate[Key, Asked], Answer],
        entries: int,
        says: str,
        any_horizon: bool,
        beside: bool,
    ) -> None:
        # half an hour: a live fleet's "now" moves on although its logs may not
        keep = st.cache_resource(max_entries=entries, ttl="30m", show_spinner=False)
        self._kept, self._says, self._any_horizon = keep(answer), says, any_horizon
        self._beside = beside

    def __call__(self, seen: session.View, *arguments: Asked.args, **named: Asked.kwargs) -> Answer:
        """Answer a page; says that it works when that takes long."""
        key = self._own(key_of(seen))
        if self._beside:
            about = (key, *arguments, *named.values())
            return under_way.wait_for(lambda: self.of(key, *arguments, **named), about, self._says)
        with st.spinner(self._says, show_time=True) if self._says else nullcontext():
            return self.of(key, *arguments, **named)

    def of(self, key: Key, *arguments: Asked.args, **named: Asked.kwargs) -> Answer:
        """Answer another answer."""
        return self._kept(self._own(key), *arguments, **named)

    def _own(self, key: Key) -> Key:
        return key.at(session.HORIZONS[0]) if self._any_horizon else key


def cached(
    entries: int, says: str = "", any_horizon: bool = False, beside: bool = False
) -> Callable[[Callable[Concatenate[Key, Asked], Answer]], Cached[Asked, Answer]]:
    """Keep the answers to a question.

    `any_horizon`: they do not hang on the horizon; `beside`: they are worked out beside the page,
    which says meanwhile how far that is.
    """
    return lambda answer: Cached(answer, entries, says, any_horizon, beside)


@st.cache_resource(max_entries=4, show_spinner=False)
def remembered(folder: str, whose: str) -> Remembered:
    """Keep what the last answer about a fleet was worked out from, for that after the next entry.

    `whose`: the forecast's, or the desk's where things are entered, which waits for no forecast.
    """
    return Remembered()


def key_of(seen: session.View) -> Key:
    """Say what an answer to a visitor hangs on."""
    on = None if seen.on is None else seen.on.isoformat()
    file, folder = record_file(seen.folder), str(seen.folder)
    made = file.stat().st_mtime_ns if file.exists() else 0
    return Key(fingerprint(seen.folder), folder, on, seen.days, _widen(folder, on, made))


@st.cache_data(max_entries=32, show_spinner=False)
def _widen(folder: str, on: str | None, made: int) -> float:
    return widening_asked(folder, on)


@st.cache_resource(max_entries=256, ttl="30m", show_spinner=False)
def _slot(about: tuple[object, ...]) -> list[tuple[tuple[ref[Any], ...], Any]]:
    return []


def written_once(
    sources: tuple[object, ...], *about: object, write: Callable[[], Written]
) -> Written:
    """Write what a page shows of some answers once for these very answers.

    A plan that was worked out anew is another object, even if it is of the same logs: what was
    written of the old one is not shown beside it. Answers are not kept alive by it. `about` tells
    one text from another, and names whatever else it hangs on.
    """
    slot = _slot((*map(id, sources), *about))
    if slot:
        owners, text = slot[0]
        if all(owner() is source for owner, source in zip(owners, sources, strict=True)):
            return text  # type: ignore[no-any-return]
    text = write()
    slot[:] = [(tuple(map(ref, sources)), text)]
    return text
