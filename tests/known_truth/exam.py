"""The exam: forecasts asked for on past dates, and what happened put beside them."""

from __future__ import annotations

import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from tests.known_truth.program import ROUTES, Answers
from tests.known_truth.scores import bootstrap, score
from tests.known_truth.simulator import TrueFleet, simulate, write

ANODE = ["hull_id", "position"]
SAID = ["risk", "worn", "days_left_10", "days_left_50", "days_left_90", "worn_low", "worn_high"]


@dataclass(frozen=True)
class Exam:
    """What every fleet is asked."""

    dates: int = 6
    days: tuple[int, ...] = (7, 14, 28)
    route: str = "commands"


def judge_fleet(fleet: TrueFleet, folder: Path, exam: Exam) -> pd.DataFrame:
    """Ask for forecasts on each date, and put what happened beside them.

    Returns
    -------
    DataFrame
        A row for each anode, date and horizon, as `scores` reads them.
    """
    route = ROUTES[exam.route]
    tables = []
    for on in fleet.dates(exam.dates):
        if np.isfinite(fleet.plan.book_lead_days):
            write(fleet, folder, on)  # `--on` hides no booking, so the book is cut here
        begun = time.perf_counter()
        answers = route(folder, on, exam.days)
        took_s = time.perf_counter() - begun
        for days in exam.days:
            table = judge(fleet.outcome(on, days), answers[days])
            tables.append(table.assign(date=on, days=days, took_s=took_s))
    judged = pd.concat(tables, ignore_index=True)
    return judged.assign(kind=fleet.kind, seed=fleet.seed, fleet=f"{fleet.kind}-{fleet.seed}")


def judge(truth: pd.DataFrame, answers: Answers) -> pd.DataFrame:
    """Truth beside forecast, a row for each anode truly in service.

    An anode that the program does not judge gets the mean of the risks that it gave, so that
    leaving out the hard ones does not pay; `judged` tells them apart.
    """
    columns = [column for column in SAID if column in answers.anodes]
    table = truth.merge(answers.anodes[[*ANODE, *columns]], on=ANODE, how="left", validate="1:1")
    hulls = answers.hulls[["hull_id", "risk"]].rename(columns={"risk": "hull_risk"})
    table = table.merge(hulls, on="hull_id", how="left", validate="m:1")
    table["judged"] = table["risk"].notna()
    table["risk"] = table["risk"].fillna(table["risk"].mean())
    return table


def examine(kind: str, seed: int, exam: Exam) -> pd.DataFrame:
    """Draw one fleet, write it, and judge the program on it."""
    fleet = simulate(kind, seed)
    with tempfile.TemporaryDirectory() as folder:
        return judge_fleet(fleet, write(fleet, folder), exam)


def summarise(judged: pd.DataFrame, draws: int) -> pd.DataFrame:
    """Scores by kind and horizon, one row a score, with 95 % intervals over fleets and hulls."""
    tables = []
    for (kind, days), rows in judged.groupby(["kind", "days"], sort=False):
        table = pd.DataFrame({"value": score(rows)})
        ends = bootstrap(rows, draws, np.random.default_rng(7)) if draws else None
        table = table.join(ends) if ends is not None else table
        table = table.rename_axis("score").reset_index()
        table.insert(0, "kind", kind)
        table.insert(1, "days", days)
        tables.append(table)
    return pd.concat(tables, ignore_index=True)


def wide(summary: pd.DataFrame) -> pd.DataFrame:
    """One row for each kind and horizon, one column a score."""
    shown = summary.assign(shown=summary.apply(_cell, axis=1))
    table = shown.pivot_table(
        index=["kind", "days"], columns="score", values="shown", aggfunc="first", sort=False
    )
    return table.reset_index()


def _cell(row: pd.Series) -> str:
    if row["score"] in ("anodes", "crossed", "judged_intervals"):
        return f"{row['value']:.0f}"
    ends = f" ({row['low']:.3f} to {row['high']:.3f})" if "low" in row else ""
    return f"{row['value']:.3f}{ends}"


def markdown(table: pd.DataFrame) -> str:
    """A table in Markdown."""
    lines = [list(table.columns), ["---"] * len(table.columns), *table.to_numpy().tolist()]
    return "\n".join("| " + " | ".join(str(cell) for cell in line) + " |" for line in lines)
