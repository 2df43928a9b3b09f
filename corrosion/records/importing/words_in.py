"""Words in: yes and no, and the words of a column, as people write them."""

from __future__ import annotations

import re
from collections.abc import Mapping

from corrosion.records.logs import Column

# yes and no in the languages of western docks; ours, common practice
YES = frozenset(
    (
        "yes",
        "y",
        "true",
        "t",
        "1",
        "x",
        "✓",
        "✔",
        "ok",
        "done",
        "ja",
        "j",
        "oui",
        "o",
        "si",
        "s",
        "sim",
    )
)
NO = frozenset(("no", "n", "false", "f", "0", "nein", "nee", "non", "nao", "not done"))

_SYNONYMS: Mapping[str, tuple[str, ...]] = {
    "salt": ("salty", "sea", "seawater", "saltwater", "sw"),
    "brackish": ("brackishwater", "bw"),
    "fresh": ("freshwater", "fw"),
    "zinc": ("zn", "zink"),
    "aluminium": ("al", "aluminum", "alu"),
    "magnesium": ("mg",),
    "afloat": ("inwater", "floating", "wet"),
    "lifted": ("ashore", "onland", "drystacked", "dry", "onlift"),
    "could-not": ("couldnot", "couldnt", "notpossible", "impossible"),
    "worn": ("spent", "replace", "bad"),
    "ok": ("good", "fine", "okay"),
    "engine": ("cooling", "enginecircuit"),
    "hull": ("outside", "hullcircuit"),
}


def _bare(text: str) -> str:
    text = text.casefold().replace("í", "i").replace("ã", "a")
    return re.sub(r"[\s_\-'.]", "", text)


def flag_of(text: str) -> bool | None:
    """Yes or no; None where a text says neither."""
    word = " ".join(text.casefold().replace("í", "i").replace("ã", "a").split()).rstrip(".")
    return True if word in YES else False if word in NO else None


def word_of(text: str, column: Column) -> str | None:
    """The column's word that a text means; None where it means none of them."""
    bare = _bare(text)
    for word in column.words:
        if bare == _bare(word) or bare in _SYNONYMS.get(word, ()):
            return word
    if {"yes", "no"} <= {*column.words}:
        flag = flag_of(text)
        return None if flag is None else "yes" if flag else "no"
    return None
