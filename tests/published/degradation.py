"""Degradation from print as a fleet's logs: what runs is a hull, what degrades an anode's size.

One clock, one position, the same looks: lifted hulls that run and are rinsed on the minute, so that
engine hours alone wear, and a caliper at equal steps of them. Nothing else is told to the program.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Floats
from corrosion.forecast.usage_forecast import Ahead
from corrosion.forecast.use_by_state import SharedOut, Sharing
from corrosion.forecast.wear_paths import Paths
from corrosion.forecast.wear_projection import project_wear
from corrosion.life_model import Fit, fit_life
from tests.chain import Links, hour, links
from tests.fleets import DAY_ONE, FleetLogs

DAYS_A_LOOK, HOURS_A_DAY_OUT = 5, 20.0
NEW_UNIT = "new"


@dataclass(frozen=True)
class Degradation:
    """Units on test: the share of the allowance that each had lost at every look.

    Attributes
    ----------
    units : list of ndarray, worn share at looks one step apart, the first one step after the start
    allowance_mm : float, which sets how large the looks' own error is beside the allowance
    """

    units: list[Floats]
    allowance_mm: float

    def until(self, looks: int) -> Links:
        """Return the chain as after so many looks; one more unit is put in new at that moment."""
        on = pd.Timestamp(DAY_ONE) + pd.Timedelta(days=looks * DAYS_A_LOOK)
        return links(self._fleet(looks, f"{on:%Y-%m-%d}"), on=f"{on:%Y-%m-%d}")

    def _fleet(self, looks: int, new_on: str) -> FleetLogs:
        new_mm = self.allowance_mm + 2.5
        fleet = FleetLogs().mooring("bench", "salt").position("rod", "engine", new_mm, 2.5)
        fleet.hull(NEW_UNIT, in_service=DAY_ONE).berth(NEW_UNIT, "bench", "lifted")
        fleet.fitting(NEW_UNIT, "rod", new_on)
        for number, worn in enumerate(self.units):
            hull_id = f"U{number + 1:02d}"
            fleet.hull(hull_id, in_service=DAY_ONE).berth(hull_id, "bench", "lifted")
            fleet.fitting(hull_id, "rod", DAY_ONE)
            for step, share in enumerate(worn[:looks]):
                last = self._run(fleet, hull_id, step)
                size_mm = new_mm - share * self.allowance_mm
                fleet.reading(hull_id, "rod", f"{last:%Y-%m-%d} 22:00", round(size_mm, 4))
        return fleet

    def _run(self, fleet: FleetLogs, hull_id: str, step: int) -> pd.Timestamp:
        first = pd.Timestamp(DAY_ONE) + pd.Timedelta(days=step * DAYS_A_LOOK)
        days = pd.date_range(first, periods=DAYS_A_LOOK)
        for day in days:
            fleet.outing(hull_id, f"{day:%Y-%m-%d} 01:00", hours=HOURS_A_DAY_OUT, share=1.0)
            fleet.flush(hull_id, f"{day:%Y-%m-%d} 21:00")
        return days[-1]


@dataclass(frozen=True)
class Outlook:
    """What the program says from some moment on, the same use going on, step by step of a look.

    Attributes
    ----------
    fit : Fit
    chance : DataFrame, chance that the limit is reached, a row a unit, a column a step ahead
    """

    fit: Fit
    chance: pd.DataFrame

    def steps_until(self, level: float) -> pd.Series:
        """Return the steps ahead at which each unit's chance reaches a level."""
        steps = self.chance.columns.to_numpy(float)
        return self.chance.apply(lambda row: float(np.interp(level, row, steps)), axis=1)


def outlook(chain: Links, steps: Floats) -> Outlook:
    """Fit the life model and carry every unit ahead by so many steps, use being known.

    Parameters
    ----------
    chain : Links
    steps : ndarray, shape (d,), looks ahead, 0 first; each as many hours as the looks before

    Returns
    -------
    Outlook
    """
    fit = fit_life(chain.lives, chain.exposure)
    exposure, start_h = chain.exposure, hour(DAY_ONE)
    # the hours of a step: those of a unit's first one
    worker = exposure.hull_ids.get_indexer(pd.Index(["U01"]))
    step = exposure.between(worker, np.array([start_h]), np.array([start_h + 24.0 * DAYS_A_LOOK]))
    count = len(exposure.hull_ids)
    # a step's hours as they are shared out, none of them lying; of degrees it has one mean
    warm = step.plain_warm.sum() / step.plain.sum()
    assert np.allclose(step.plain_warm, warm * step.plain)
    assert np.allclose(step.drying_warm, warm * step.drying)
    run, wet = (np.repeat(part, count, axis=0) for part in (step.plain, step.drying))
    shares = Sharing(np.zeros(count, dtype=np.intp), run, wet, np.zeros((count, 0)), 1.0)
    total = np.tile(steps, (count, 1))
    hours = SharedOut(shares, total, warm * total, 0.0 * total, 0.0 * total)
    engine_h = np.tile(steps * DAYS_A_LOOK * HOURS_A_DAY_OUT, (count, 1))
    ahead = Ahead(
        steps * DAYS_A_LOOK, hours, engine_h, np.zeros((count, steps.size)), np.zeros(steps.size)
    )
    paths: Paths = project_wear(fit, chain.checked, ahead)
    hulls = exposure.hull_ids[fit.model.design.hull[paths.lives]]
    return Outlook(fit, pd.DataFrame(paths.chance, index=hulls, columns=steps))
