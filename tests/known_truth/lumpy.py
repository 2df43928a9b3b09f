"""How well lumpy wear can be forecast at all: `python -m tests.known_truth.lumpy --seeds 31 32`.

Two oracles know what no log tells: every hull's and anode's own pace, every hour that will be run,
the very law of the lumps. One sees what is worn today without error; the other has the last look,
with its reading error, and what was run since. What is left to chance is left to everybody.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import gammaincc

from tests.known_truth.exam import markdown
from tests.known_truth.simulator import TrueFleet, simulate
from tests.known_truth.simulator.anodes import Life, Look

NODES = 41


def asked(fleet: TrueFleet, dates: int, days: int) -> pd.DataFrame:
    """Ask both oracles of every anode in service at each date.

    Parameters
    ----------
    fleet : TrueFleet
        Of a kind whose wear does not speed up.
    dates : int
        Forecast dates, as in `study`.
    days : int
        The horizon.

    Returns
    -------
    DataFrame
        One row an anode and date: `crossed`, `sees_all`, `sees_looks` (chances).
    """
    lines = dict(zip([hull.hull_id for hull in fleet.hulls], fleet.timelines, strict=True))
    looks: dict[tuple[str, str], list[Look]] = {}
    for look in fleet.all_looks:
        looks.setdefault((look.hull_id, look.position.position), []).append(look)
    totals = {
        (hull_id, circuit): np.concatenate([[0.0], np.cumsum(line.circuit_mm(circuit))])
        for hull_id, line in lines.items()
        for circuit in (0, 1)
    }
    gone = {hull.hull_id: hull.leaves_day * 24.0 for hull in fleet.hulls}
    scatter, rows = fleet.physics.process_sd**2, []
    for on in fleet.dates(dates):
        on_h = fleet.hours(on)
        for life in fleet.lives:
            if not life.fitted_h <= on_h < min(life.removed_h, gone[life.hull_id]):
                continue
            line = lines[life.hull_id]
            mean = totals[life.hull_id, life.position.circuit]
            at = np.interp([on_h, on_h + 24 * days], line.bound_h, mean * life.pace)
            seen = _last(looks.get((life.hull_id, life.position.position), []), life, on_h)
            now = life.worn_at(on_h)
            rows.append(
                (
                    life.worn_at(on_h + 24 * days) >= 1,
                    float(_chance(1 - now, at[1] - at[0], scatter)),
                    _by_look(fleet, life, seen, line.bound_h, mean, at[1], scatter),
                )
            )
    return pd.DataFrame(rows, columns=["crossed", "sees_all", "sees_looks"])


def _last(looks: list[Look], life: Life, on_h: float) -> Look | None:
    since = [each for each in looks if life.fitted_h < each.read_h <= on_h]
    return since[-1] if since else None


def _chance(left: npt.ArrayLike, rise: float, scatter: float) -> np.ndarray:
    """Chance that gamma increments with this mean reach what is left."""
    reach = np.maximum(np.asarray(left, dtype=float), 0.0) / scatter
    over = gammaincc(rise / scatter, reach) if rise > 0 else np.zeros_like(reach)
    return np.where(reach > 0, over, 1.0)


def _by_look(
    fleet: TrueFleet, life: Life, seen: Look | None, bound_h: np.ndarray, mean: np.ndarray,
    end: float, scatter: float,
) -> float:  # fmt: skip
    """The same from the last look: its reading error is integrated over."""
    from_h = life.fitted_h if seen is None else seen.read_h
    rise = end - float(np.interp(from_h, bound_h, mean * life.pace))
    if seen is None or not np.isfinite(seen.size_mm):
        known = 0.0 if seen is None else seen.worn
        return float(_chance(1 - known, rise, scatter))
    position = life.position
    read = (position.new_size_mm - seen.size_mm) / position.allowance_mm
    noise_mm = fleet.plan.reading_noise_mm * (1 + fleet.plan.pitted_noise * np.clip(read, 0, 1.5))
    z, weight = np.polynomial.hermite_e.hermegauss(NODES)
    worn = read + z * noise_mm / position.allowance_mm
    return float(weight @ _chance(1 - worn, rise, scatter) / weight.sum())


def skill(chance: pd.Series, crossed: pd.Series) -> float:
    """Share of the average's Brier score that is taken away."""
    average = float(np.mean((crossed.mean() - crossed) ** 2))
    return 1 - float(np.mean((chance - crossed) ** 2)) / average


def main(words: Sequence[str] | None = None) -> int:
    """Print the skill of both oracles."""
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.lumpy")
    options.add_argument("--kind", default="gamma")
    options.add_argument("--seeds", nargs="+", type=int, default=[31, 32])
    options.add_argument("--dates", type=int, default=6)
    options.add_argument("--days", nargs="+", type=int, default=[7, 14, 28])
    chosen = options.parse_args(words)
    fleets = [simulate(chosen.kind, seed) for seed in chosen.seeds]
    rows = []
    for days in chosen.days:
        table = pd.concat([asked(fleet, chosen.dates, days) for fleet in fleets])
        skills = {name: skill(table[name], table["crossed"]) for name in ("sees_all", "sees_looks")}
        rows.append(
            {"days": days, "anodes": len(table), "worn": int(table["crossed"].sum())} | skills
        )
    print(markdown(pd.DataFrame(rows).round(3)))
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.lumpy", main))
