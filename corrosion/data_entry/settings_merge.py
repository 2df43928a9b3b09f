"""Two people change the settings: what one wrote is never undone in silence by the other's form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from corrosion.common import LogRefused
from corrosion.records import changed_text


@dataclass(frozen=True)
class Clash:
    """A key that both changed, each to something else: what it was, is now, and was typed."""

    key: str
    was: str
    now: str
    mine: str


@dataclass(frozen=True)
class Merged:
    """Two changes of one file put together.

    Attributes
    ----------
    text : str
        The file as it is now with what only the form changed; of a clash what the file says.
    clashes : tuple of Clash
        What has to be asked about.
    others : tuple of str
        Keys that only somebody else changed.
    """

    text: str
    clashes: tuple[Clash, ...]
    others: tuple[str, ...]


def merged_settings(drawn: str, now: str, mine: str) -> Merged:
    """Put a form's change and what was written meanwhile together.

    Parameters
    ----------
    drawn, now, mine : str
        Settings texts (TOML): what the form was drawn from, what the file says now, what the form
        makes of it.

    Returns
    -------
    Merged

    Raises
    ------
    LogRefused
        One of them is no TOML.
    """
    if now == drawn:
        return Merged(mine, (), ())
    was, there, typed = _keys(drawn), _keys(now), _keys(mine)
    keys = list(dict.fromkeys([*was, *there, *typed]))
    ours = [key for key in keys if typed.get(key) != was.get(key)]
    theirs = [key for key in keys if there.get(key) != was.get(key)]
    both = [key for key in ours if key in theirs and typed.get(key) != there.get(key)]
    text = changed_text(now, {key: typed.get(key) for key in ours if key not in both})
    clashes = tuple(
        Clash(key, *(_shown(texts.get(key)) for texts in (was, there, typed))) for key in both
    )
    return Merged(text, clashes, tuple(key for key in theirs if key not in ours))


def mine_over(drawn: str, now: str, mine: str) -> str:
    """The file as it is now, with everything that the form changed, also where both did."""
    was, typed = _keys(drawn), _keys(mine)
    keys = dict.fromkeys([*was, *typed])
    ours = {key: typed.get(key) for key in keys if typed.get(key) != was.get(key)}
    return changed_text(now, ours)


def _keys(text: str) -> Mapping[str, Any]:
    try:
        return dict(tomlkit.parse(text).unwrap())
    except TOMLKitError as error:
        raise LogRefused(f"fleet.toml: is not valid TOML: {error}.") from error


def _shown(value: object) -> str:
    return "nothing" if value is None else str(value)
