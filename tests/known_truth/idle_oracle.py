"""How soon an anode that gives no current can be told at all:
`python -m tests.known_truth.idle_oracle --seeds 45 46`.

Two oracles have the looks of the anode and know what no log tells: every hour that was run, the
pace of its hull, the law of the looks' errors, that an idle anode wears nothing, and how rare those
are. One also knows the anode's own pace. Asked on the date on which `tests.known_truth.odd` expects
an answer.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

import numpy as np
import pandas as pd
from scipy.special import expit, logsumexp
from scipy.stats import multivariate_normal

from tests.known_truth.exam import markdown
from tests.known_truth.odd import EVERY_DAYS, FIRST_DAY, TELLING, due_day, due_worn
from tests.known_truth.simulator import TrueFleet, simulate
from tests.known_truth.simulator.strays import UNBONDED, Stray

NODES = 41
TOLD = 0.9


def chance_idle(
    read: np.ndarray, usual: np.ndarray, error: float, scatter: float, spread: float, rare: float
) -> float:
    """Return the chance that an anode with these looks is idle.

    Parameters
    ----------
    read : ndarray, shape (k,), worn shares that were read, k looks in order
    usual : ndarray, shape (k,), what its hull's usual anode had lost by then
    error : float, standard deviation of a look
    scatter : float, variance of wear at a mean of 1, increments independent
    spread : float, standard deviation (log) of the anode's own pace; 0 where it is known
    rare : float, share of anodes that are idle
    """
    z, weight = np.polynomial.hermite_e.hermegauss(NODES)
    looks = error**2 * np.eye(len(read))
    idle = multivariate_normal.logpdf(read, np.zeros(len(read)), looks)
    sound = [
        multivariate_normal.logpdf(
            read, own * usual, looks + scatter * own * np.minimum.outer(usual, usual)
        )
        for own in np.exp(spread * z)
    ]
    ratio = idle - logsumexp(sound, b=weight / weight.sum())
    return float(expit(ratio + np.log(rare / (1 - rare))))


def asked(fleet: TrueFleet) -> pd.DataFrame:
    """Ask both oracles of every idle anode of a fleet.

    Returns
    -------
    DataFrame
        One row an idle anode that was looked at often enough: `due_worn` (share of the allowance
        that a sound one would have lost), `knows_hull`, `knows_anode` (chances).
    """
    rows = []
    rare = fleet.plan.unbonded / max(
        len({(o.hull_id, o.position.position) for o in fleet.lives}), 1
    )
    for stray in fleet.strays:
        date = next(
            (
                day
                for day in range(FIRST_DAY, fleet.plan.days + 1, EVERY_DAYS)
                if day >= due_day(fleet, stray)
            ),
            None,
        )
        if stray.kind != UNBONDED or date is None:
            continue
        read, usual, own, error = _looks(fleet, stray, 24.0 * date)
        physics = fleet.physics
        rows.append(
            {
                "due_worn": due_worn(fleet, stray),
                "knows_hull": chance_idle(
                    read, usual / own, error, physics.process_sd**2, physics.anode_spread, rare
                ),
                "knows_anode": chance_idle(read, usual, error, physics.process_sd**2, 0.0, rare),
            }
        )
    return pd.DataFrame(rows, columns=["due_worn", "knows_hull", "knows_anode"])


def _looks(
    fleet: TrueFleet, stray: Stray, until_h: float
) -> tuple[np.ndarray, np.ndarray, float, float]:
    """Return what was read, what was usual by then, the anode's own factor, a look's error."""
    number = [each.hull_id for each in fleet.hulls].index(stray.hull_id)
    hull, line = fleet.hulls[number], fleet.timelines[number]
    life = next(
        each
        for each in fleet.lives
        if (each.hull_id, each.position.position) == (stray.hull_id, stray.position)
    )
    place = life.position
    looks = [
        each
        for each in fleet.all_looks
        if (each.hull_id, each.position.position) == (stray.hull_id, stray.position)
        and np.isfinite(each.size_mm)
        and each.read_h <= min(until_h, life.removed_h)
    ]
    total = life.pace * np.concatenate([[0.0], np.cumsum(line.circuit_mm(place.circuit))])
    when = np.array([life.fitted_h, *(each.read_h for each in looks)])
    usual = np.interp(when, line.bound_h, total)
    read = np.array([(place.new_size_mm - each.size_mm) / place.allowance_mm for each in looks])
    of_hull = hull.pace[place.circuit] * place.loss_per_surface_mm / place.allowance_mm
    error = fleet.plan.reading_noise_mm / place.allowance_mm
    return read, usual[1:] - usual[0], float(life.pace / of_hull), float(error)


def main(words: Sequence[str] | None = None) -> int:
    """Print of how many idle anodes either oracle is sure."""
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.idle_oracle")
    options.add_argument("--kind", default="unbonded")
    options.add_argument("--seeds", nargs="+", type=int, default=[45, 46])
    chosen = options.parse_args(words)
    table = pd.concat([asked(simulate(chosen.kind, seed)) for seed in chosen.seeds])
    telling = table[table["due_worn"] >= TELLING]
    rows = [
        {
            "oracle": name,
            f"sure ({TOLD}) where {TELLING} was due": f"{int((telling[name] >= TOLD).sum())}"
            f" of {len(telling)}",
            "of all": f"{int((table[name] >= TOLD).sum())} of {len(table)}",
        }
        for name in ("knows_hull", "knows_anode")
    ]
    print(markdown(pd.DataFrame(rows)))
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.idle_oracle", main))
