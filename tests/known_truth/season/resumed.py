"""Seasons worked one after the other, each written down as it is done, so that a study goes on."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import product
from pathlib import Path

import pandas as pd

KEY = ("kind", "seed", "policy")


def read_seasons(csv: Path | None) -> pd.DataFrame:
    """Read the seasons that a file has; none where there is no file."""
    return pd.read_csv(csv) if csv and csv.exists() else pd.DataFrame()


def work_seasons(
    seeds: Iterable[int], kinds: Iterable[str], policies: Iterable[str], csv: Path | None,
    work: Callable[[str, int, str], dict[str, object]],
) -> pd.DataFrame:  # fmt: skip
    """Work every season that the file lacks, seed after seed, and write each as it comes.

    Parameters
    ----------
    seeds, kinds, policies : what to work
    csv : Path or None, where seasons are kept
    work : takes kind, seed and policy; returns a row that names them

    Returns
    -------
    DataFrame, one row a season, those of the file first
    """
    made = read_seasons(csv)
    have = set(made[list(KEY)].itertuples(index=False, name=None)) if len(made) else set()
    for seed, kind, policy in product(seeds, kinds, policies):
        if (kind, seed, policy) not in have:
            made = pd.concat([made, pd.DataFrame([work(kind, seed, policy)])], ignore_index=True)
            if csv:
                made.to_csv(csv, index=False)
    return made
