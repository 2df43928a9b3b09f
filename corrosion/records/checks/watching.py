"""What a rule looked at: a rule need not be asked again while all of it is the same."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from typing import TypeAlias, TypeVar

import pandas as pd

from corrosion.common import are_same
from corrosion.records.checks.evidence import Evidence

Answer = TypeVar("Answer")
Looked: TypeAlias = dict[tuple[str, str], object]
"""By kind (`tables`, `logged`, `field`) and name: what was seen there."""


class _Watching(Mapping[str, pd.DataFrame]):
    """Tables, and a note of each that was taken in hand; who goes through them takes all."""

    def __init__(self, tables: Mapping[str, pd.DataFrame], kind: str, looked: Looked) -> None:
        self._tables, self._kind, self._looked = tables, kind, looked

    def __getitem__(self, log: str) -> pd.DataFrame:
        self._looked[self._kind, log] = self._tables[log]
        return self._tables[log]

    def __iter__(self) -> Iterator[str]:
        return iter(self._tables)

    def __len__(self) -> int:
        return len(self._tables)


@dataclass(frozen=True)
class _Watched(Evidence):
    """Evidence that notes what is asked of it: tables one by one, and the moment and the zone."""

    looked: Looked = field(default_factory=dict)
    outer: Evidence | None = None

    def __getattribute__(self, name: str) -> object:
        if name not in ("on", "timezone"):
            return object.__getattribute__(self, name)
        # who watches outside notes it too
        value: object = getattr(object.__getattribute__(self, "outer"), name)
        object.__getattribute__(self, "looked")["field", name] = value
        return value


def watched_evidence(evidence: Evidence) -> tuple[Evidence, Looked]:
    """Return the same evidence, and the note that fills as it is looked at.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Evidence and Looked
    """
    looked: Looked = {}
    rest = {each.name: object.__getattribute__(evidence, each.name) for each in fields(Evidence)}
    rest["tables"] = _Watching(evidence.tables, "tables", looked)
    rest["logged"] = _Watching(evidence.logged, "logged", looked)
    return _Watched(**rest, looked=looked, outer=evidence), looked


def saw_the_same(looked: object, evidence: Evidence) -> bool:
    """Whether all that was looked at then is the same in the evidence now.

    Parameters
    ----------
    looked : Looked
    evidence : Evidence

    Returns
    -------
    bool
        Tables are the same if they are the very same object.
    """
    assert isinstance(looked, dict)
    # all of it is looked at once more, so that who watches this evidence notes it too
    return all(are_same(seen, _seen(kind, name, evidence)) for (kind, name), seen in looked.items())


def _seen(kind: str, name: str, evidence: Evidence) -> object:
    return getattr(evidence, name) if kind == "field" else getattr(evidence, kind)[name]


def once(evidence: Evidence, name: Hashable, make: Callable[[Evidence], Answer]) -> Answer:
    """Return what is made of the evidence, unless the same was looked at when it was made last.

    A rule that hangs on the moment, or on one more log, asks what does not hang on it this way.

    Parameters
    ----------
    evidence : Evidence
    name : hashable, one for each answer about a log
    make : callable, takes the evidence and looks at nothing else
    """

    def made() -> tuple[Looked, Answer]:
        watched, looked = watched_evidence(evidence)
        return looked, make(watched)

    return evidence.last.where(
        (evidence.log, name), lambda looked: saw_the_same(looked, evidence), made
    )
