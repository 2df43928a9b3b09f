"""The commands `parts` and `costs`: what to order, and what anode work costs."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from corrosion.command_line.answers import Answer, about_fleet, appraised, silent

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal
    from corrosion.workshop import Costs, Parts

SAVINGS = (
    *("rule", "pull_outs", "past_days", "cost", "cost_low", "cost_high"),
    *("saved", "saved_low", "saved_high", "verdict"),
)
COSTS = (
    *("mooring_id", "hulls", "visits", "changes", "looks", "parts", "labour", "looking"),
    *("lost_hire", "total", "per_hull_season", "per_hire_hour", "per_engine_hour"),
)


def parts(options: argparse.Namespace) -> Answer:
    """List the parts: what the coming weeks take, what is there, what to order by when."""
    from corrosion.workshop import count_parts as parts_of

    appraisal = appraised(options)
    needs = parts_of(appraisal)
    weeks = options.weeks
    shown = (
        *("part_number", "used_for", "anodes", "on_hand", "order", "order_by"),
        *(f"need_{weeks}_low", f"need_{weeks}", f"need_{weeks}_high", f"seals_{weeks}"),
        "short_before",
    )
    answer = about_fleet(
        needs.table, shown, appraisal.checked, f", {weeks} weeks ahead", silent(appraisal)
    )
    return Answer(answer.rows, (*answer.about, *_about_parts(needs)), shown, answer.zone)


def _about_parts(needs: Parts) -> tuple[str, ...]:
    from corrosion.workshop import habit_said

    lines = [habit_said(needs.habit)]
    if needs.table["on_hand"].isna().any():
        lines.append(
            "Empty on_hand: nobody counted that part. Enter it under [stock] in fleet.toml."
        )
    if needs.not_counted:
        lines.append(
            f"Anodes never fitted or looked at by the logs, in no number: {needs.not_counted}."
        )
    return tuple(lines)


def costs(options: argparse.Namespace) -> Answer:
    """List what anode work cost over the last year, by mooring."""
    from corrosion.workshop import add_up_costs

    appraisal = appraised(options)
    if options.against_rules:
        return _savings(appraisal)
    bill = add_up_costs(appraisal)
    answer = about_fleet(bill.table, COSTS, appraisal.checked, _stretch(bill), silent(appraisal))
    currency = appraisal.logbook.settings.currency or "the fleet's currency"
    about = (*answer.about, f"Amounts in {currency}.", *bill.not_known)
    return Answer(answer.rows, about, COSTS, answer.zone)


def _stretch(bill: Costs) -> str:
    return f", {bill.first:%Y-%m-%d} to {bill.last:%Y-%m-%d}"


def _savings(appraisal: Appraisal) -> Answer:
    """List the plan's rule and three rules of thumb with what each would cost from now on."""
    from corrosion.workshop import compare_rules

    comparison = compare_rules(appraisal)
    span = f", {comparison.weeks} weeks ahead, {comparison.draws} seasons drawn from the forecast"
    answer = about_fleet(comparison.table, SAVINGS, appraisal.checked, span, silent(appraisal))
    currency = appraisal.logbook.settings.currency or "the fleet's currency"
    about = (
        *answer.about,
        f"Amounts in {currency}; low and high hold 8 of 10 seasons. saved: what the plan's rule "
        "saves against the rule of that row; below nought it costs more.",
        "Bays, hires and stock stand in no rule's way here. Calendar and hours are each at the "
        "ages that cost this fleet least.",
        *comparison.assumed,
    )
    return Answer(answer.rows, about, SAVINGS, answer.zone)
