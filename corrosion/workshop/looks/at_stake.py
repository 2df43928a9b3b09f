"""What stands behind each anode when it comes to looking: its course, its money, its covers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats
from corrosion.forecast import Appraisal
from corrosion.workshop.looks.courses import Courses, lay_out_courses
from corrosion.workshop.looks.worth import Stakes
from corrosion.workshop.plan.cases import build_case
from corrosion.workshop.plan.hire import lost_hire
from corrosion.workshop.plan.horizon import lay_out_days
from corrosion.workshop.plan.prices import MEASURE_MINUTES, Prices, read_prices
from corrosion.workshop.plan.prospects import Prospects, prospects

FARTHEST_DAYS = 400.0
ACT_DAYS = 7.0
"""Days from a look to the pull-out that it brings about: the next week's plan."""
LEADS_DAYS = 14.0
"""An anode that is due within so many days of the first on its hull decides when the hull comes."""
EVERY_WEEKDAY = frozenset(range(7))


@dataclass(frozen=True)
class Ground:
    """Everything that a schedule of looks stands on.

    Attributes
    ----------
    anodes : DataFrame, one row an anode in service that was ever seen: the forecast's columns and
        those of `Prices.positions`, by hull in order of access
    prospects : Prospects, row-aligned with `anodes`
    courses : Courses, row-aligned
    stakes : Stakes, row-aligned
    group : ndarray of int, shape (k,), anodes of a hull under the same covers have one number
    opens : ndarray, shape (k,), currency, to open the covers of its group
    measures : ndarray, shape (k,), currency, to measure it once they are open, its seal counted
    prices : Prices
    """

    anodes: pd.DataFrame
    prospects: Prospects
    courses: Courses
    stakes: Stakes
    group: Codes
    opens: Floats
    measures: Floats
    prices: Prices

    @property
    def alone(self) -> Floats:
        """Return what a look at each anode by itself costs, currency, shape (k,)."""
        return self.opens + self.measures


def lay_out_ground(appraisal: Appraisal) -> Ground:
    """Gather courses, stakes and prices of every anode that was ever seen.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    Ground
    """
    settings = appraisal.logbook.settings
    prices = read_prices(settings, appraisal.checked.anode_positions)
    rates = appraisal.fit.evaluation.rates
    ahead = prospects(
        appraisal.forecast, prices.positions, float(rates.anode_sd), settings.tolerated_risk
    )
    anodes = ahead.anodes
    allowance = (anodes["new_size_mm"] - anodes["limit_size_mm"]).to_numpy(float)
    error = np.clip(float(rates.reading_mm) / np.maximum(allowance, 1e-6), 0.005, 0.5)
    near = ahead.grid <= FARTHEST_DAYS
    since = (anodes["worn"] - anodes["last_worn"].fillna(0.0)).clip(lower=0.0).to_numpy(float)
    courses = lay_out_courses(
        ahead.grid[near], ahead.worn[:, near], ahead.sd[:, near], since, error
    )
    late, waits = _money(appraisal, ahead, prices)
    covers = anodes["hull_id"].astype(str) + "\n" + anodes["access_group"].astype(str)
    group = np.asarray(pd.factorize(covers)[0], np.intp)
    opens = anodes.groupby(group)["access_minutes"].transform("max").to_numpy(float)
    return Ground(
        anodes, ahead, courses, Stakes(late, waits, settings.tolerated_risk, ACT_DAYS),
        group, prices.wage * opens / 60.0,
        prices.wage * MEASURE_MINUTES / 60.0 + anodes["seal_cost"].to_numpy(float), prices,
    )  # fmt: skip


def _money(appraisal: Appraisal, ahead: Prospects, prices: Prices) -> tuple[Floats, Floats]:
    """Return a day's lateness and what a day's delay of the replacement saves, currency, (k,)."""
    tolerated = appraisal.logbook.settings.tolerated_risk
    hire = _hire(appraisal)
    late, waits = np.zeros(len(ahead.anodes)), np.zeros(len(ahead.anodes))
    for hull, rows in ahead.anodes.groupby("hull_id", sort=True).indices.items():
        case = build_case(
            str(hull), np.asarray(rows), ahead, prices, hire.get(str(hull), 0.0), tolerated,
            np.zeros(len(rows)),
        )  # fmt: skip
        # what decides when the covers come off, or the hull out, has that put off as well
        first = np.full(case.access_h.size, np.inf)
        np.minimum.at(first, case.group, case.due)
        opens = case.due <= first[case.group] + LEADS_DAYS
        leads = case.due <= case.due.min() + LEADS_DAYS
        late[rows] = case.late
        waits[rows] = (
            case.unit_rate + np.where(opens, case.group_rate[case.group], 0.0)
            + np.where(leads, case.visit_rate, 0.0)
        )  # fmt: skip
    return late, waits


def _hire(appraisal: Appraisal) -> dict[str, float]:
    """Return the hire lost on a well-chosen day of the coming week, currency, by hull."""
    logbook, hulls = appraisal.logbook, appraisal.forecast.hulls
    horizon = lay_out_days(logbook.on, logbook.settings.timezone, EVERY_WEEKDAY, None, 1)
    lost = lost_hire(
        appraisal.checked.bookings, appraisal.checked.outings, pd.Index(hulls["hull_id"]),
        hulls["mooring_id"].to_numpy(object), horizon,
    )  # fmt: skip
    return {
        str(h): float(v) for h, v in zip(hulls["hull_id"], lost.by_day.min(axis=1), strict=True)
    }
