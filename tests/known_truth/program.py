"""Ways to ask the program for its forecasts, and two simple rivals to measure it against.

A route takes a fleet folder, a moment and horizons in days, and gives for each horizon the rows
of `anodes` and of `rank`.
"""

from __future__ import annotations

import contextlib
import io
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from scipy.stats import norm

ROOT = Path(__file__).parents[2]
TEXT = {"hull_id": str, "position": str}


@dataclass(frozen=True)
class Answers:
    """What was said at one moment for one horizon: rows of `anodes`, and of `rank`."""

    anodes: pd.DataFrame
    hulls: pd.DataFrame


Route = Callable[[Path, pd.Timestamp, Sequence[int]], Mapping[int, Answers]]


def by_shell(folder: Path, on: pd.Timestamp, days: Sequence[int]) -> Mapping[int, Answers]:
    """Run the program as anybody would: a process for each command."""
    return {each: Answers(*(_run(_words(c, folder, on, each)) for c in COMMANDS)) for each in days}


def by_commands(folder: Path, on: pd.Timestamp, days: Sequence[int]) -> Mapping[int, Answers]:
    """The same command lines, within this process."""
    return {each: Answers(*(_call(_words(c, folder, on, each)) for c in COMMANDS)) for each in days}


def by_appraisal(folder: Path, on: pd.Timestamp, days: Sequence[int]) -> Mapping[int, Answers]:
    """One appraisal for the longest horizon; shorter ones are read off its chances by day."""
    from corrosion.forecast.appraisal import appraise

    forecast = appraise(folder, _moment(on), max(days)).forecast
    grid = np.asarray(forecast.day_grid, float)
    return {
        each: Answers(
            forecast.anodes.assign(risk=_at(grid, forecast.chance, each)),
            forecast.hulls.assign(risk=_at(grid, forecast.hull_chance, each)),
        )
        for each in days
    }


def by_straight_line(folder: Path, on: pd.Timestamp, days: Sequence[int]) -> Mapping[int, Answers]:
    """A rival without a model: each anode goes on as it went from its fitting to its last look.

    Too few looks: the median pace of its position. The spread is 0.1 of the allowance, and 30 %
    of the wear ahead.
    """
    anodes = _straight_lines(folder, on)
    made = {}
    for each in days:
        mean = anodes["worn"] + anodes["pace"] * each
        spread = np.hypot(0.1, 0.3 * anodes["pace"] * each)
        risk = norm.sf((1 - mean) / spread)
        forecast = anodes.assign(risk=risk, worn_then=mean)
        made[each] = Answers(forecast, forecast.groupby("hull_id", as_index=False)["risk"].max())
    return made


def by_average(folder: Path, on: pd.Timestamp, days: Sequence[int]) -> Mapping[int, Answers]:
    """A rival that knows nothing: the same risk for everybody."""
    lines = by_straight_line(folder, on, days)
    return {
        each: Answers(
            answers.anodes.assign(risk=answers.anodes["risk"].mean()),
            answers.hulls.assign(risk=answers.hulls["risk"].mean()),
        )
        for each, answers in lines.items()
    }


COMMANDS = ("anodes", "rank")
ROUTES: dict[str, Route] = {
    "shell": by_shell,
    "commands": by_commands,
    "appraisal": by_appraisal,
    "straight-line": by_straight_line,
    "average": by_average,
}


def call(words: Sequence[str]) -> str:
    """Run one command line within this process; what it printed."""
    from corrosion.command_line import main

    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        code = main(list(words))
    if code:
        raise RuntimeError(f"exit code {code}: {' '.join(words)}")
    return printed.getvalue()


def _words(command: str, folder: Path, on: pd.Timestamp, days: int) -> list[str]:
    options = ["--on", _moment(on), "--days", str(days), "--format", "csv"]
    return [command, str(folder), *options]


def _moment(on: pd.Timestamp) -> str:
    return on.strftime("%Y-%m-%dT%H:%M:%SZ")


def _call(words: Sequence[str]) -> pd.DataFrame:
    return pd.read_csv(io.StringIO(call(words)), dtype=TEXT)


def _run(words: Sequence[str]) -> pd.DataFrame:
    done = subprocess.run(
        [sys.executable, "-m", "corrosion", *words],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"exit code {done.returncode}: {done.stderr.strip()}")
    return pd.read_csv(io.StringIO(done.stdout), dtype=TEXT)


def _at(grid: np.ndarray, chance: np.ndarray, day: int) -> np.ndarray:
    return np.array([np.interp(day, grid, row) for row in np.asarray(chance)])


def _log(folder: Path, name: str) -> pd.DataFrame:
    return pd.read_parquet(folder / name)


def _straight_lines(folder: Path, on: pd.Timestamp) -> pd.DataFrame:
    """Each anode in service with its worn now and its pace a day, from its last sized look."""
    fittings, readings = _log(folder, "fittings"), _log(folder, "readings")
    fittings = fittings[fittings["fitted_at"] <= on]
    anodes = fittings.drop_duplicates(["hull_id", "position"], keep="last")
    anodes = anodes[["hull_id", "position", "fitted_at"]]
    looks = readings[(readings["read_at"] <= on) & readings["size_mm"].notna()]
    last = looks.drop_duplicates(["hull_id", "position"], keep="last")
    anodes = anodes.merge(last[["hull_id", "position", "read_at", "size_mm"]], "left")
    hulls = _log(folder, "hulls").query("retired.isna() or retired > @on")
    anodes = anodes.merge(hulls[["hull_id", "layout"]]).merge(_log(folder, "anode_positions"))
    seen = anodes["read_at"] > anodes["fitted_at"]
    day = pd.Timedelta(days=1)
    lived = ((anodes["read_at"] - anodes["fitted_at"]) / day).where(seen)
    allowance = anodes["new_size_mm"] - anodes["limit_size_mm"]
    measured = ((anodes["new_size_mm"] - anodes["size_mm"]) / allowance).clip(lower=0.02)
    pace = (measured / lived.clip(lower=5)).where(seen)
    usual = pace.groupby([anodes["layout"], anodes["position"]]).transform("median")
    pace = pace.fillna(usual).fillna(pace.median())
    since = ((on - anodes["read_at"].where(seen, anodes["fitted_at"])) / day).astype(float)
    worn = measured.where(seen, 0.0) + pace * since
    left = (1 - worn).clip(lower=0) / pace
    return anodes[["hull_id", "position"]].assign(
        worn=worn,
        pace=pace,
        days_left_10=0.6 * left,
        days_left_50=left,
        days_left_90=1.6 * left,
    )
