"""The demo's track record beside its answer sheet: `python -m tests.known_truth.demo_record`.

What a record says was found is what looks found. The demo's maker knows more: when each anode truly
reached its limit, looked at or not. Set beside both, a forecast that says too much is told from a
record that finds too little.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from corrosion.forecast import track_record
from corrosion.forecast.backtest import Record, scores
from corrosion.forecast.backtest.spans import HORIZONS_DAYS
from tests.known_truth.exam import markdown

DEMO = Path(__file__).parents[2] / "demo_fleet"
APART_DAYS = 28


def with_truth(judged: pd.DataFrame, lives: pd.DataFrame) -> pd.DataFrame:
    """Put beside each forecast when the anode that was in place truly reached its limit.

    Parameters
    ----------
    judged : DataFrame, as a record holds it
    lives : DataFrame, the answer sheet: hull_id, position, fitted_at, removed_at, crossing_at

    Returns
    -------
    DataFrame
        The same rows with `crossing_at` (UTC; NaT: not within what was simulated); rows of anodes
        that were not truly there (a change that nobody wrote down) are kept, theirs is the true
        anode's.
    """
    known = lives[["hull_id", "position", "fitted_at", "removed_at", "crossing_at"]]
    judged_rows = judged[["week", "hull_id", "position"]].assign(row=np.arange(len(judged)))
    met = judged_rows.merge(known, on=["hull_id", "position"])
    there = (met["fitted_at"] <= met["week"]) & ~(met["removed_at"] <= met["week"])
    last_known = met[there].drop_duplicates("row", keep="last").set_index("row")
    return judged.assign(
        crossing_at=last_known["crossing_at"].reindex(range(len(judged))).to_numpy()
    )


def at_looks(record: Record, table: pd.DataFrame) -> pd.DataFrame:
    """Sum up what was said of next looks, what they found, and what was so; each look once.

    Parameters
    ----------
    record : Record
    table : DataFrame, as `with_truth` gives it

    Returns
    -------
    DataFrame
        One row a class of chances: those of `Record.blame` and `truly_worn`.
    """
    rows = scores.next_looks(table)
    looks = rows.assign(truly=(rows["crossing_at"] <= rows["next_at"]).astype(float))
    each = looks.groupby(scores.LOOK)[["chance", "truly"]].mean()
    middle = each[each["chance"].between(*scores.MIDDLE)]
    return record.blame.assign(truly_worn=[middle["truly"].sum(), each["truly"].sum()])


def within(table: pd.DataFrame) -> pd.DataFrame:
    """Sum up what was said of each horizon, what the record could tell, and what was so.

    Parameters
    ----------
    table : DataFrame, as `with_truth` gives it

    Returns
    -------
    DataFrame
        One row a horizon: `days`, `said` and `truly` of all forecasts; `said_judged`, `found`,
        `truly_judged` of those that the record judges; `said_apart`, `truly_apart`: a mean
        over sets of Mondays 28 days apart, in which no crossing is counted twice.
    """
    return pd.DataFrame([_within(table, days) for days in HORIZONS_DAYS])


def _within(table: pd.DataFrame, days: int) -> dict[str, float]:
    truly = table["crossing_at"] <= table["week"] + pd.Timedelta(days=days)
    known = table[f"found_{days}"].notna()
    chance = table[f"risk_{days}"]
    days_ago = (table["week"].max() - table["week"]) / pd.Timedelta(days=1)
    recent = days_ago < 26 * 7 - 1  # before that, only every other Monday is gone back to
    sets = APART_DAYS // 7
    return {
        "days": days,
        "said": chance.sum(),
        "truly": truly.sum(),
        "said_judged": chance[known].sum(),
        "found": table[f"found_{days}"].sum(),
        "truly_judged": truly[known].sum(),
        "said_apart": chance[recent].sum() / sets,
        "truly_apart": truly[recent].sum() / sets,
    }


def by_month(table: pd.DataFrame, days: int = 28) -> pd.DataFrame:
    """Sum up said and so by the month of the forecast: `month`, `said`, `truly`, `forecasts`."""
    truly = table["crossing_at"] <= table["week"] + pd.Timedelta(days=days)
    month = table["week"].dt.strftime("%Y-%m")
    rows = table.assign(truly=truly).groupby(month)
    return rows.agg(said=(f"risk_{days}", "sum"), truly=("truly", "sum"),
                    forecasts=("truly", "size")).rename_axis("month").reset_index()  # fmt: skip


def main(words: Sequence[str] | None = None) -> int:
    """Print the record beside the truth."""
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.demo_record")
    options.add_argument("--kept-in", type=Path, help="where forecasts are kept between runs")
    arguments = options.parse_args(words)
    record = track_record(DEMO / "logs", place=arguments.kept_in)
    table = with_truth(record.judged, pd.read_parquet(DEMO / "answers" / "lives.parquet"))
    for part in (at_looks(record, table), within(table), by_month(table)):
        print(markdown(part.round(1)), "\n")
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.demo_record", main))
