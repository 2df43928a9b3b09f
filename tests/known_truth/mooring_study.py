"""How often adjusted ratios hold the truth: `python -m tests.known_truth.mooring_study`.

Each fleet is asked through the command `moorings`. A share has its 95 % interval by Clopper and
Pearson, over moorings and over fleets: the moorings of one fleet lean on each other, since their
ratios are all against one mean.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pandas as pd

KINDS = ("standard", "uneven_moorings", "many_moorings", "confounded", "small8")


def main(words: Sequence[str] | None = None) -> int:
    """Ask every fleet, and print one row a kind."""
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")
    from tests.known_truth.exam import markdown

    arguments = _options().parse_args(words)
    rows = answers(arguments.kinds, arguments.seeds)
    if arguments.rows:
        rows.to_csv(arguments.rows, index=False)
    print(markdown(said(rows)))
    return 0


def answers(kinds: Sequence[str], seeds: Sequence[int]) -> pd.DataFrame:
    """Every mooring of every fleet: said, true, and whether the interval holds the truth.

    Returns
    -------
    DataFrame
        Rows of `questions.moorings` with `kind`, `inside`, `raw_inside`, `off` and `raw_off` (log
        of said over true; of raw said over the *adjusted* truth) and `width` (log of high over
        low).
    """
    from tests.known_truth.questions import put

    table = pd.concat(
        [put("moorings", kind, seed).assign(kind=kind) for kind in kinds for seed in seeds],
        ignore_index=True,
    )
    true = table["adjusted_ratio_true"]
    raw_true = table["raw_ratio_true"]
    return table.assign(
        inside=(table["low"] <= true) & (true <= table["high"]),
        raw_inside=(table["raw_low"] <= raw_true) & (raw_true <= table["raw_high"]),
        off=np.log(table["adjusted_ratio"] / true),
        raw_off=np.log(table["raw_ratio"] / true),
        width=np.log(table["high"] / table["low"]),
    )


def summarise(rows: pd.DataFrame) -> pd.DataFrame:
    """One row a kind: shares that hold the truth, with their 95 % intervals, and typical errors."""
    made = []
    for kind, each in rows.groupby("kind", sort=False):
        fleets = each.groupby("fleet")["inside"].mean()
        made.append(
            {
                "kind": kind,
                "fleets": len(fleets),
                "moorings": len(each),
                "inside": each["inside"].mean(),
                **_ends("inside", int(each["inside"].sum()), len(each)),
                "all_inside": (fleets == 1).mean(),
                **_ends("all_inside", int((fleets == 1).sum()), len(fleets)),
                "raw_inside": each["raw_inside"].mean(),
                "high_over_low": float(np.exp(each["width"].median())),
                "off": each["off"].abs().median(),
                "raw_off": each["raw_off"].abs().median(),
            }
        )
    return pd.DataFrame(made)


def _ends(name: str, count: int, total: int) -> dict[str, float]:
    """Clopper and Pearson's 95 % interval of a share."""
    from tests.known_truth.scores import exact_interval

    low, high = exact_interval(count, total)
    return {f"{name}_low": low, f"{name}_high": high}


def said(rows: pd.DataFrame) -> pd.DataFrame:
    """The summary as a person reads it."""
    table = summarise(rows)
    shares = {
        name: [
            f"{row[name]:.2f} ({row[f'{name}_low']:.2f} to {row[f'{name}_high']:.2f})"
            for _, row in table.iterrows()
        ]
        for name in ("inside", "all_inside")
    }
    return pd.DataFrame(
        {
            "fleet": table["kind"],
            "fleets": table["fleets"],
            "moorings": table["moorings"],
            "truth inside": shares["inside"],
            "inside at all moorings of the fleet": shares["all_inside"],
            "raw truth inside": table["raw_inside"].round(2),
            "high / low": table["high_over_low"].round(2),
            "off, adjusted": [f"{100 * v:.0f} %" for v in table["off"]],
            "off, raw": [f"{100 * v:.0f} %" for v in table["raw_off"]],
        }
    )


def _options() -> argparse.ArgumentParser:
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.mooring_study")
    options.add_argument("--kinds", nargs="+", default=list(KINDS), metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=list(range(1, 21)))
    options.add_argument("--rows", type=Path, help="write every mooring's answer")
    return options


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.mooring_study", main))
