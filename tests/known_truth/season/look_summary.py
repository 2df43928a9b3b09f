"""Seasons of looking summed up, with paired intervals."""

from __future__ import annotations

import numpy as np
import pandas as pd
from scipy.stats import binomtest

from tests.known_truth.simulator.physics import Floats

OURS = "schedule"


def by_kind(seasons: pd.DataFrame, draws: int = 2000) -> pd.DataFrame:
    """Return a row a kind (and one for all) and rival: looks, days past, cost, and differences.

    Parameters
    ----------
    seasons : DataFrame, one row a season and policy, as `look_study.season_of`
    draws : int, of the bootstrap over seasons

    Returns
    -------
    DataFrame, ready to print; in brackets 95 % of a paired bootstrap over seasons
    """
    rows = []
    whole = seasons.assign(kind="all of these")
    for kind, table in [*seasons.groupby("kind", sort=False), ("all of these", whole)]:
        wide = table.assign(
            season=table["seed"].astype(str) + seasons.loc[table.index, "kind"]
        ).pivot(index="season", columns="policy", values=["looks", "past_days", "cost"])
        for rival in [name for name in wide["looks"].columns if name != OURS]:
            both = wide.dropna()
            ours, theirs = (both.xs(name, axis=1, level=1) for name in (OURS, rival))
            rows.append(
                {
                    "fleet": kind,
                    "seasons": len(both),
                    "a look every": f"{rival} d",
                    "looks: schedule, rule": _two(ours["looks"], theirs["looks"]),
                    "fewer looks": _share(ours["looks"], theirs["looks"], draws),
                    "days past: schedule, rule": _two(ours["past_days"], theirs["past_days"]),
                    "fewer days past": _gap(ours["past_days"], theirs["past_days"], draws),
                    "cost: schedule, rule": _two(ours["cost"], theirs["cost"]),
                    "cheaper": _share(ours["cost"], theirs["cost"], draws),
                }
            )
    return pd.DataFrame(rows)


def told(seasons: pd.DataFrame) -> pd.DataFrame:
    """Return what each policy was told in time: coverage, hot berths, anodes that do not wear."""
    rows = []
    for policy, table in seasons.groupby("policy", sort=False):
        hot = table[table["hot"] > 0]
        early = int((hot["told_berth"] <= 35.0).sum())
        near, covered = int(table["near"].sum()), int(table["covered"].sum())
        rows.append(
            {
                "policy": policy,
                "limit within 28 days": near or "-",
                "due before": _part(covered, near),
                "hot berths told within 35 days": f"{early} of {len(hot)}",
                "days to it": ", ".join(f"{d:.0f}" for d in sorted(hot["told_berth"].dropna())),
                "unbonded told by the third look": (
                    f"{int(table['still_by_third'].sum())} of {int(table['still_shown'].sum())} "
                    f"told or looked at so often, of {int(table['unbonded'].sum())} in all"
                ),
            }
        )
    return pd.DataFrame(rows)


def _two(ours: pd.Series, theirs: pd.Series) -> str:
    return f"{ours.mean():.0f}, {theirs.mean():.0f}"


def _boot(size: int, draws: int) -> np.ndarray:
    return np.random.default_rng(11).integers(size, size=(draws, size))


def _share(ours: pd.Series, theirs: pd.Series, draws: int) -> str:
    """Say by which share the sum is less."""
    a, b = ours.to_numpy(float), theirs.to_numpy(float)
    chosen = _boot(a.size, draws)
    drawn = 1 - a[chosen].sum(axis=1) / b[chosen].sum(axis=1)
    return _said(1 - a.sum() / b.sum(), drawn, 100, " %")


def _gap(ours: pd.Series, theirs: pd.Series, draws: int) -> str:
    gap = theirs.to_numpy(float) - ours.to_numpy(float)
    return _said(float(gap.mean()), gap[_boot(gap.size, draws)].mean(axis=1), 1, "")


def _said(value: float, drawn: Floats, scale: float, unit: str) -> str:
    low, high = np.quantile(drawn, [0.025, 0.975])
    return f"{scale * value:.0f}{unit} ({scale * low:.0f} to {scale * high:.0f})"


def _part(count: int, of: int) -> str:
    if not of:
        return "-"
    span = binomtest(count, of).proportion_ci(0.95, "exact")
    return f"{count / of:.3f} ({span.low:.3f} to {span.high:.3f})"
