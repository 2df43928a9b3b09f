"""Data that several programs are asked about: simulated, the same for all by their seeds."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]


def as_lives(exit_at: npt.ArrayLike, worn: npt.ArrayLike, **columns: object) -> pd.DataFrame:
    """Return exact and running lives, each of a hull of its own, as the life curves take them."""
    end = np.asarray(exit_at, dtype=float)
    table = pd.DataFrame({"low": end, "high": np.where(worn, end, np.inf), "entry": 0.0, **columns})
    return table.assign(hull_id=table.index)


def twice_convicted(rossi: pd.DataFrame) -> pd.DataFrame:
    """Return each convict of the Rossi data twice, as two anodes of one hull."""
    table = rossi[["week", "arrest", "fin", "age", "prio"]]
    twice = pd.concat([table, table], ignore_index=True)
    twice = twice.assign(hull=np.tile(np.arange(len(table)), 2))
    # a ten-thousandth apart, since ties are broken differently in the two sandwiches
    apart = np.random.default_rng(7).permutation(len(twice)) * 1e-4
    return twice.assign(week=twice["week"] + apart)


def brackets_apart() -> tuple[Floats, Floats]:
    """Return 60 brackets of which none ends where another begins."""
    rng = np.random.default_rng(5)
    low = rng.uniform(0.0, 4.0, 60)
    return low, np.where(rng.random(60) < 0.3, np.inf, low + rng.uniform(0.5, 3.0, 60))


def late_entries(seed: int) -> pd.DataFrame:
    """Simulate 150 lives in two waters, half of them watched from some exposure on."""
    rng = np.random.default_rng(seed)
    water = np.where(rng.random(150) < 0.5, "salt", "fresh")
    life = np.where(water == "salt", 80.0, 120.0) * rng.weibull(2.0, 150)
    entry = np.where(rng.random(150) < 0.5, rng.uniform(0.0, 60.0, 150), 0.0)
    lives = as_lives(np.minimum(life, 150.0), life < 150.0, water=water).assign(entry=entry)
    return lives[lives["low"] > lives["entry"]]
