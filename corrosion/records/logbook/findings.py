"""Findings: what was noticed in a log, as rows of one table, however it was noticed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, NamedTuple

import pandas as pd

Severity = Literal["set-aside", "doubtful", "note"]


class Finding(NamedTuple):
    """One sentence about some rows of one log.

    Attributes
    ----------
    log : str
        Name of the log, or `fleet.toml`.
    rule : str
        Short name of what was looked for.
    severity : Severity
        `set-aside` (not used), `doubtful` (used, not believed) or `note` (worth knowing).
    rows : int
        How many rows; 0 where it is about the whole log.
    first : str
        The first of them, so that it can be found.
    what_to_do : str
        One sentence for the person who keeps the log.
    """

    log: str
    rule: str
    severity: Severity
    rows: int
    first: str
    what_to_do: str


FINDING_COLUMNS = list(Finding._fields)


def findings_table(findings: Iterable[Finding]) -> pd.DataFrame:
    """Findings as a table, shape (findings, 6), columns `FINDING_COLUMNS`, in the order given."""
    rows = list(findings)
    table = pd.DataFrame(rows, columns=FINDING_COLUMNS, dtype=object)
    return table.astype({"rows": "int64"})
