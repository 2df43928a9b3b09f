"""Policies put beside each other on the same seasons, with paired intervals."""

from __future__ import annotations

import tempfile
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from tests.known_truth.season.ours import Program
from tests.known_truth.season.rules import CUSTOMARY
from tests.known_truth.season.run import by_rule, work_through
from tests.known_truth.season.worlds import Prices, draw_world
from tests.known_truth.simulator.physics import Floats

SWEEP = {
    "calendar": np.geomspace(12, 420, 14),
    "hours": np.geomspace(12, 420, 14),
    "reading": np.linspace(0.25, 1.3, 15),
}


@dataclass(frozen=True)
class Study:
    """What every season is put through."""

    hulls: int = 20
    weeks: int = 20
    hulls_per_day: int = 1
    says: str = "plan"
    priced: bool = True


def season(kind: str, seed: int, study: Study) -> pd.DataFrame:
    """Work one season through under the program and under every rule at every threshold.

    Returns
    -------
    DataFrame
        One row a policy and threshold: `fleet`, `policy`, `threshold` (NaN for the program) and
        the fields of `Outcome`.
    """
    world = draw_world(kind, seed, study.hulls, study.weeks, study.hulls_per_day)
    with tempfile.TemporaryDirectory() as folder:
        program = Program(Path(folder), study.says, Prices() if study.priced else None)
        ours = work_through(world, program)
    rows = [("ours", np.nan, ours)]
    for rule, sweep in SWEEP.items():
        for threshold in np.append(sweep, CUSTOMARY[rule]):
            outcome = work_through(world, by_rule(rule, float(threshold)))
            rows.append((rule, float(threshold), outcome))
    table = pd.DataFrame(
        [{"policy": p, "threshold": t, **asdict(outcome)} for p, t, outcome in rows]
    )
    fleet = f"{kind}-{seed}"
    return table.assign(
        kind=kind, fleet=fleet, plan_s=program.longest_s, plan_gap=program.widest_gap
    )


def at_pull_outs(curve: pd.DataFrame, pull_outs: float) -> float:
    """Least anode-days past the limit that a rule's sweep reaches with so many pull-outs.

    Between two thresholds, as if each were used on a share of the seasons; the thresholds are
    chosen with hindsight, for this very season.
    """
    best = curve.sort_values(["pull_outs", "past_days"]).drop_duplicates("pull_outs")
    return float(np.interp(pull_outs, best["pull_outs"], best["past_days"].cummin()))


def at_past_days(curve: pd.DataFrame, past_days: float) -> float:
    """Fewest pull-outs with which a rule's sweep stays within the anode-days; NaN for never."""
    best = curve.sort_values(["past_days", "pull_outs"]).drop_duplicates("past_days")
    if past_days < best["past_days"].min():
        return float("nan")
    return float(np.interp(past_days, best["past_days"], best["pull_outs"].cummin()))


def paired(seasons: pd.DataFrame) -> pd.DataFrame:
    """Put the program beside each rule, fleet by fleet.

    Parameters
    ----------
    seasons : DataFrame, rows of `season` for several fleets

    Returns
    -------
    DataFrame
        One row a fleet and rule: `ours_out`, `ours_past`; `usual_out`, `usual_past` (the rule at
        its customary threshold); `equal_past` (the rule's best threshold, found with hindsight,
        at as many pull-outs as the program's); `equal_out` (the same at as many anode-days;
        NaN where no threshold comes so low).
    """
    rows = []
    for (kind, fleet), table in seasons.groupby(["kind", "fleet"], sort=False):
        ours = table[table["policy"] == "ours"].iloc[0]
        for rule in SWEEP:
            curve = table[table["policy"] == rule]
            usual = curve[curve["threshold"] == CUSTOMARY[rule]].iloc[0]
            rows.append(
                {
                    "kind": kind,
                    "fleet": fleet,
                    "rule": rule,
                    "ours_out": ours["pull_outs"],
                    "ours_past": ours["past_days"],
                    "usual_out": usual["pull_outs"],
                    "usual_past": usual["past_days"],
                    "equal_past": at_pull_outs(curve, ours["pull_outs"]),
                    "equal_out": at_past_days(curve, ours["past_days"]),
                }
            )
    return pd.DataFrame(rows)


def summary(pairs: pd.DataFrame, draws: int = 2000) -> pd.DataFrame:
    """Sum a kind's fleets up, with 95 % intervals of the paired differences.

    Returns
    -------
    DataFrame
        One row a kind and rule, ready to print.
    """
    rows = []
    for (kind, rule), table in pairs.groupby(["kind", "rule"], sort=False):
        more_past = (table["equal_past"] - table["ours_past"]).to_numpy(float)
        more_out = (table["equal_out"] - table["ours_out"]).to_numpy(float)
        reached = np.isfinite(more_out)
        rows.append(
            {
                "fleet": kind,
                "rule": rule,
                "seasons": len(table),
                "ours: out, days past": _both(table["ours_out"], table["ours_past"]),
                "rule as usual: out, days past": _both(table["usual_out"], table["usual_past"]),
                "days past at our pull-outs": f"{table['equal_past'].mean():.0f}",
                "more days past": _interval(more_past, draws),
                "ours fewer": f"{int((more_past > 0).sum())} of {len(table)}",
                "more pull-outs at our days past": _interval(more_out[reached], draws),
                "never so few days": f"{int((~reached).sum())} of {len(table)}",
            }
        )
    return pd.DataFrame(rows)


def _both(out: pd.Series, past: pd.Series) -> str:
    return f"{out.mean():.0f}, {past.mean():.0f}"


def _interval(differences: Floats, draws: int) -> str:
    """Mean difference with its bootstrap interval over fleets."""
    if len(differences) < 2:
        return f"{differences.mean():.0f}" if len(differences) else "-"
    rng = np.random.default_rng(11)
    chosen = rng.integers(len(differences), size=(draws, len(differences)))
    low, high = np.quantile(differences[chosen].mean(axis=1), [0.025, 0.975])
    return f"{differences.mean():.0f} ({low:.0f} to {high:.0f})"
