"""The plan's rule beside three rules of thumb, over the coming weeks, on the fleet's own logs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from corrosion.common import Floats
from corrosion.forecast import Appraisal
from corrosion.workshop.plan.prices import Prices, read_prices
from corrosion.workshop.savings.draws import Season, draw_season
from corrosion.workshop.savings.rules import plan_rule, rules_of_thumb
from corrosion.workshop.savings.working import Worked, work_through

WEEKS = 26
LOW, HIGH = 0.10, 0.90
SAVES, COSTS_MORE, CANNOT_TELL = "saves", "costs more", "cannot tell"


@dataclass(frozen=True)
class Savings:
    """What the coming weeks bring under each rule.

    Attributes
    ----------
    weeks : int
    draws : int, seasons drawn
    table : DataFrame
        One row a rule, the plan's first: rule, pull_outs, changes, past_days (anode-days past the
        limit), cost (currency), each expected, with `_low`, `_likely` and `_high` (10, 50 and 90 %
        of the seasons drawn: one season of ruin can draw the mean out of that range, never the
        middle); then against the plan's rule, season by season: saved, saved_low,
        saved_likely, saved_high (currency; above 0 where the plan's rule is cheaper),
        fewer_past_days and fewer_pull_outs (likewise), verdict (`saves`, `costs more`, `cannot
        tell`: 8 in 10 seasons lie on both sides).
    assumed : tuple of str, prices taken for granted
    basis : str, one of the plan's BASES: whose prices these are
    """

    weeks: int
    draws: int
    table: pd.DataFrame
    assumed: tuple[str, ...]
    basis: str


def compare_rules(appraisal: Appraisal, weeks: int = WEEKS) -> Savings:
    """Work the plan's rule and three rules of thumb through seasons drawn from the forecast.

    Parameters
    ----------
    appraisal : Appraisal
    weeks : int

    Returns
    -------
    Savings
    """
    settings = appraisal.logbook.settings
    prices = read_prices(settings, appraisal.checked.anode_positions)
    season = draw_season(appraisal, prices, weeks)
    late, planned = _late_and_planned(season, prices)
    rules = [plan_rule(season, settings.tolerated_risk), *rules_of_thumb(season, late, planned)]
    worked = [work_through(season, rule, prices) for rule in rules]
    rows = [
        {"rule": rule.name, **_expected(each), **_against(worked[0], each)}
        for rule, each in zip(rules, worked, strict=True)
    ]
    return Savings(weeks, season.worn.shape[0], pd.DataFrame(rows), prices.assumed, prices.basis)


def _late_and_planned(season: Season, prices: Prices) -> tuple[Floats, Floats]:
    """Costs of a replacement on time, pull-out and all, and of one that comes late."""
    anodes = season.anodes
    hours = prices.haul_hours + anodes["access_minutes"] / 60.0 + anodes["swap_h"]
    planned = anodes["part_cost"] + anodes["seal_cost"] + prices.wage * hours
    late = planned + anodes["late_cost"]
    return late.to_numpy(float), planned.to_numpy(float)


def _spread(name: str, values: Floats) -> dict[str, float]:
    low, likely, high = (float(each) for each in np.quantile(values, [LOW, 0.5, HIGH]))
    ends = {f"{name}_low": low, f"{name}_likely": likely, f"{name}_high": high}
    return {name: float(values.mean()), **ends}


def _expected(worked: Worked) -> dict[str, float]:
    return {
        **_spread("pull_outs", worked.pull_outs),
        **_spread("changes", worked.changes),
        **_spread("past_days", worked.past_days),
        **_spread("cost", worked.cost),
    }


def _against(plan: Worked, rule: Worked) -> dict[str, float | str]:
    """Say what the plan's rule saves against another, season by season."""
    if rule is plan:
        return {}
    saved = _spread("saved", rule.cost - plan.cost)
    if saved["saved_low"] > 0:
        verdict = SAVES
    else:
        verdict = COSTS_MORE if saved["saved_high"] < 0 else CANNOT_TELL
    return {
        **saved,
        **_spread("fewer_past_days", rule.past_days - plan.past_days),
        **_spread("fewer_pull_outs", rule.pull_outs - plan.pull_outs),
        "verdict": verdict,
    }
