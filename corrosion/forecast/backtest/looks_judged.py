"""Looks judged: how often a look changed what was done, by the forecasts before and after it."""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.forecast.backtest.scores import LOOK, next_looks

ANODE: Final = LOOK[:2]
DUE_DAYS: Final = 14
"""An anode is due where it goes past the tolerated risk within so many days: a plan pulls it."""
NEWS_DAYS: Final = 14
"""A forecast later than that after a look tells of more than the look."""
FORWARD, STAYS = "brought the change forward", "let an anode stay that was due"
CHANGED: Final = (FORWARD, STAYS)
OUTCOMES: Final = (
    *(FORWARD, STAYS, "due before, and replaced or due after it"),
    *("replaced with its neighbours, not due itself", "not due before, nor after it"),
)


def looks_judged(judged: pd.DataFrame, tolerated_risk: float) -> pd.DataFrame:
    """Say how often a look changed what was done.

    A look is set between the last forecast before it and the first after it. It brought a change
    forward where the anode was not due before, and was due after it, or was found at its limit and
    replaced; it let an anode stay where that was due before, and not after it.

    Parameters
    ----------
    judged : DataFrame
        As `corrosion.forecast.backtest.outcomes.judged` gives it.
    tolerated_risk : float
        Chance of an anode past its limit that the fleet accepts for a hull.

    Returns
    -------
    DataFrame
        One row an outcome that occurred, in the order of `OUTCOMES`: `what`, `looks` (count),
        `share` (of all looks that can be judged) and `changed` (bool: it changed what was done).
        Looks without a forecast of the anode's place within two weeks after them are left out.
    """
    looks = next_looks(judged).sort_values("week", kind="stable").drop_duplicates(LOOK, keep="last")
    both = _with_the_forecast_after(looks, judged)
    due, due_after = (both[name] > tolerated_risk for name in (f"risk_{DUE_DAYS}", "risk_after"))
    replaced = (both["fitted_after"] > both["fitted_at"]) | (
        both["fitted_at"].isna() & both["fitted_after"].notna()
    )
    worn = both["next_found"] >= 1
    conditions = [
        ~due & ((due_after & ~replaced) | (worn & replaced)),
        due & ~replaced & ~due_after,
        due,
        replaced,
    ]
    outcome = np.select([each.to_numpy(bool) for each in conditions], OUTCOMES[:4], OUTCOMES[4])
    counts = pd.Series(outcome, dtype=object).value_counts().reindex(list(OUTCOMES)).dropna()
    return pd.DataFrame(
        {
            "what": counts.index.to_numpy(object),
            "looks": counts.to_numpy(int),
            "share": counts.to_numpy(float) / max(len(both), 1),
            "changed": np.isin(counts.index.to_numpy(object), CHANGED),
        }
    )


def _with_the_forecast_after(looks: pd.DataFrame, judged: pd.DataFrame) -> pd.DataFrame:
    columns = {f"risk_{DUE_DAYS}": "risk_after", "fitted_at": "fitted_after"}
    after = judged[[*ANODE, "week", *columns]].rename(columns=columns)
    both = pd.merge_asof(
        _by_moment(looks.drop(columns="week"), "next_at"), _by_moment(after, "week"),
        left_on="next_at", right_on="week", by=ANODE, direction="forward",
        allow_exact_matches=False, tolerance=pd.Timedelta(days=NEWS_DAYS),
    )  # fmt: skip
    return both[both["week"].notna()]


def _by_moment(rows: pd.DataFrame, moment: str) -> pd.DataFrame:
    """Rows in order of a moment; it and the names of anodes in the types of any pandas alike."""
    types = dict.fromkeys(ANODE, object) | {moment: "datetime64[us, UTC]"}
    return rows.astype(types).sort_values(moment, kind="stable")


def looks_in_one_line(table: pd.DataFrame) -> str:
    """Say how often a look changed what was done; empty where none can be judged.

    Parameters
    ----------
    table : DataFrame, as `looks_judged`
    """
    looks, changed = int(table["looks"].sum()), table[table["changed"]]
    if not looks:
        return ""
    share = formatting.number(100 * float(changed["looks"].sum()) / looks)
    ways = [f"{row.looks} {row.what}" for row in changed.itertuples()]
    return (
        f"{int(changed['looks'].sum())} of {formatting.count(looks, 'look')} ({share} %) changed "
        f"what was done{': ' + formatting.listed(ways) if ways else ''}"
    )
