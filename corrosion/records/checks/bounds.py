"""Rules for numbers that nothing of the trade has: no such number goes into any calculation."""

from __future__ import annotations

from functools import partial

import pandas as pd

from corrosion.records.checks.evidence import SET_ASIDE, Evidence, Flags, Rule
from corrosion.records.logs import LOGS, limits_of


def beyond_sense(rows: pd.DataFrame, evidence: Evidence, column: str) -> Flags:
    """A number outside of the limits of its column."""
    least, most = limits_of(column)
    return rows[column].notna() & ~rows[column].between(least, most)


def _rule(column: str) -> Rule:
    least, most = limits_of(column)
    return Rule(
        f"{column.replace('_', '-')}-beyond-sense",
        tuple(name for name, log in LOGS.items() if column in log.names),
        SET_ASIDE,
        f"Correct {column}: outside {least:g} to {most:g} it is not used.",
        partial(beyond_sense, column=column),
        (column,),
        cells=(column,),
    )


NUMBERS = dict.fromkeys(c.name for log in LOGS.values() for c in log if c.kind == "number")
BOUND_RULES: tuple[Rule, ...] = tuple(map(_rule, NUMBERS))
