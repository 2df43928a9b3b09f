"""Seasons of hires summed up: what each policy came to, and the plan beside each of the others."""

from __future__ import annotations

import numpy as np
import pandas as pd

OURS = "plan"
KNOWS_STOPS = ("plan", "earlier")
"""Rules of thumb stop nothing, so none of their hulls is counted as stopped."""
COLUMNS = {
    "past_days": "anode-days past",
    "hire_past_days": "of them on hire",
    "pull_outs": "pull-outs",
    "replaced": "new anodes",
    "moved": "moved",
    "cancelled": "cancelled",
    "by_dock": "moved by the dock",
    "turned_away": "turned away",
    "income_lost": "income lost",
    "looks": "looks",
    "stopped_sailed": "stopped hulls that sailed",
    "overlaps": "two at once",
}
DRAWS = 2000


def by_policy(seasons: pd.DataFrame) -> pd.DataFrame:
    """Return a row a policy: means a season with 95 % bootstrap intervals over seasons."""
    rows = []
    for policy, table in whole_seasons(seasons).groupby("policy", sort=False):
        hires = table["hires"].sum()
        rows.append(
            {"policy": policy, "seasons": len(table)}
            | {heading: _mean(table[name].to_numpy(float)) for name, heading in COLUMNS.items()}
            | ({} if policy in KNOWS_STOPS else {COLUMNS["stopped_sailed"]: "-"})
            | {"called off, of hires": f"{100 * table['cancelled'].sum() / hires:.2f} %"}
        )
    return pd.DataFrame(rows)


def beside(seasons: pd.DataFrame) -> pd.DataFrame:
    """Return a row a rival: days past and pull-outs of the plan as shares of the rival's."""
    table = whole_seasons(seasons)
    if OURS not in set(table["policy"]):
        return pd.DataFrame()
    wide = table.pivot(index=["kind", "seed"], columns="policy", values=list(COLUMNS))
    rows = []
    for rival in [each for each in table["policy"].unique() if each != OURS]:
        row: dict[str, object] = {"plan beside": rival, "seasons": len(wide)}
        for name in ("past_days", "hire_past_days", "pull_outs"):
            ours, theirs = (wide[name, each].to_numpy(float) for each in (OURS, rival))
            row[f"{COLUMNS[name]}, share"] = _ratio(ours, theirs)
            row[f"{COLUMNS[name]}, fewer in"] = f"{int((ours < theirs).sum())} of {len(wide)}"
        rows.append(row)
    return pd.DataFrame(rows)


def whole_seasons(seasons: pd.DataFrame) -> pd.DataFrame:
    """Return the seasons that every policy has been worked through."""
    count = seasons.groupby(["kind", "seed"])["policy"].transform("nunique")
    return seasons[count == seasons["policy"].nunique()]


def _drawn(size: int) -> np.ndarray:
    return np.random.default_rng(11).integers(size, size=(DRAWS, size))


def _mean(values: np.ndarray) -> str:
    low, high = np.quantile(values[_drawn(values.size)].mean(axis=1), [0.025, 0.975])
    return f"{values.mean():.1f} ({low:.1f} to {high:.1f})"


def _ratio(ours: np.ndarray, theirs: np.ndarray) -> str:
    if not theirs.sum():
        return "-"
    drawn = _drawn(ours.size)
    shares = ours[drawn].sum(axis=1) / np.maximum(theirs[drawn].sum(axis=1), 1e-9)
    low, high = np.quantile(shares, [0.025, 0.975])
    return f"{ours.sum() / theirs.sum():.2f} ({low:.2f} to {high:.2f})"
