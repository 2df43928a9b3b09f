"""Everything that is said about flushing at one moment, worked out once."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from corrosion.comparison.flushing.answer import Verdict
from corrosion.comparison.flushing.dose import Dose, dose
from corrosion.comparison.flushing.engine import engine_lives
from corrosion.comparison.flushing.hidden import Hidden, hidden_cause
from corrosion.comparison.flushing.money import beside
from corrosion.comparison.flushing.parts_of_fleet import Part, share_on
from corrosion.comparison.flushing.policy import DAILY
from corrosion.comparison.flushing.returns import SMALLEST_GROUP, raw_by_mooring, raw_by_position
from corrosion.comparison.flushing.trial import trial_size
from corrosion.comparison.flushing.verdict import judge_flushing
from corrosion.comparison.flushing.whatif import (
    Outcome,
    by_mooring,
    by_position,
    delays,
    outcome_of_policy,
    policies,
    where_not_worth_it,
)
from corrosion.forecast import Appraisal

DELAYS_H = (0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 24.0)
WEEKS_A_YEAR = 52.0


@dataclass(frozen=True)
class Evidence:
    """What stands behind a verdict that has rates.

    Attributes
    ----------
    daily : Outcome, daily flushing wherever a hose reaches the hull
    possible_share, possible_low, possible_high : float, share saved on those hulls alone
    moorings : DataFrame of `by_mooring` with raw; moorings of fewer than five hulls left out
    positions : DataFrame of `by_position` with raw; positions of fewer than five hulls left out
    hidden : Hidden
    delays : DataFrame of `delays`
    dose : Dose
    policies : DataFrame of `beside`
    trial : DataFrame of `trial_size`
    """

    daily: Outcome
    possible_share: float
    possible_low: float
    possible_high: float
    moorings: pd.DataFrame
    positions: pd.DataFrame
    hidden: Hidden
    delays: pd.DataFrame
    dose: Dose
    policies: pd.DataFrame
    trial: pd.DataFrame


@dataclass(frozen=True)
class FlushingReport:
    """A verdict, what stands behind it, and where a flush brings little.

    Attributes
    ----------
    verdict : Verdict
    evidence : Evidence or None, None where the logs hold no rates to judge by
    not_worth : dict, returns of the year: 'salty', 'fresh', 'back_to_back'
    """

    verdict: Verdict
    evidence: Evidence | None
    not_worth: dict[str, int]


def report_on_flushing(appraisal: Appraisal) -> FlushingReport:
    """Judge flushing and gather what stands behind the verdict.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    Report
    """
    verdict, zone = judge_flushing(appraisal), appraisal.logbook.settings.timezone
    idle = where_not_worth_it(appraisal.exposure, verdict, zone)
    return FlushingReport(
        verdict, _evidence(verdict, appraisal) if verdict.believed else None, idle
    )


def _evidence(verdict: Verdict, appraisal: Appraisal) -> Evidence:
    zone, checked = appraisal.logbook.settings.timezone, appraisal.checked
    everywhere = outcome_of_policy(verdict, DAILY, zone, only_possible=False)
    share, low = _shares(everywhere)
    able = verdict.by_hull.query("possible")["hull_id"]
    reached = share_on(verdict, list(able), zone) if len(able) else Part(0.0, 0.0, 0.0)
    moorings = by_mooring(verdict, zone, SMALLEST_GROUP)
    moorings = moorings.merge(raw_by_mooring(verdict.by_hull), how="left")
    named = policies([str(m) for m in moorings["mooring_id"]])
    return Evidence(
        outcome_of_policy(verdict, DAILY, zone),
        reached.share,
        reached.low,
        reached.high,
        moorings,
        _positions(verdict, appraisal),
        hidden_cause(share, low),
        delays(verdict, zone, DELAYS_H),
        dose(verdict, zone),
        beside(
            {name: outcome_of_policy(verdict, each, zone) for name, each in named.items()}, checked
        ),
        trial_size(verdict, _weekly(everywhere)),
    )


def _positions(verdict: Verdict, appraisal: Appraisal) -> pd.DataFrame:
    raw = raw_by_position(verdict.by_hull, appraisal.exposure, engine_lives(appraisal.lives))
    saved = by_position(verdict, appraisal.logbook.settings.timezone)
    return _shown(saved.merge(raw.drop(columns="hulls"), how="left"))


def _shown(table: pd.DataFrame) -> pd.DataFrame:
    """Leave out groups of fewer hulls than are compared."""
    return table[table["hulls"] >= SMALLEST_GROUP].reset_index(drop=True)


def _shares(done: Outcome) -> tuple[float, float]:
    """Return the share saved with its lower end."""
    total = done.total
    return float(total["saved"] / total["worn"]), float(total["saved_low"] / total["worn_low"])


def _weekly(done: Outcome) -> float:
    """Return the share of its allowance that an engine anode loses in an average week."""
    return float(done.total["worn"] / done.total["anodes"] / WEEKS_A_YEAR)
