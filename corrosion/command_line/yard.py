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
    found = parts_of(appraisal)
    weeks = options.weeks
    shown = (
        *("part_number", "used_for", "anodes", "on_hand", "order", "order_by"),
        *(f"need_{weeks}_low", f"need_{weeks}", f"need_{weeks}_high", f"seals_{weeks}"),
        "short_before",
    )
    answer = about_fleet(
        found.table, shown, appraisal.checked, f", {weeks} weeks ahead", silent(appraisal)
    )
    return Answer(answer.rows, (*answer.about, *_about_parts(found)), shown, answer.zone)


def _about_parts(found: Parts) -> tuple[str, ...]:
    from corrosion.workshop import habit_said

    lines = [habit_said(found.habit)]
    if found.table["on_hand"].isna().any():
        lines.append(
            "Empty on_hand: nobody counted that part. Enter it under [stock] in fleet.toml."
        )
    if found.not_counted:
        lines.append(
            f"Anodes never fitted or looked at by the logs, in no number: {found.not_counted}."
        )
    return tuple(lines)


def costs(options: argparse.Namespace) -> Answer:
    """List what anode work cost over the last year, by mooring."""
    from corrosion.workshop import add_up_costs

    appraisal = appraised(options)
    if options.against_rules:
        return _savings(appraisal)
    found = add_up_costs(appraisal)
    answer = about_fleet(found.table, COSTS, appraisal.checked, _stretch(found), silent(appraisal))
    currency = appraisal.logbook.settings.currency or "the fleet's currency"
    about = (*answer.about, f"Amounts in {currency}.", *found.not_known)
    return Answer(answer.rows, about, COSTS, answer.zone)


def _stretch(found: Costs) -> str:
    return f", {found.first:%Y-%m-%d} to {found.last:%Y-%m-%d}"


def _savings(appraisal: Appraisal) -> Answer:
    """List the plan's rule and three rules of thumb with what each would cost from now on."""
    from corrosion.workshop import compare_rules

    found = compare_rules(appraisal)
    said = f", {found.weeks} weeks ahead, {found.draws} seasons drawn from the forecast"
    answer = about_fleet(found.table, SAVINGS, appraisal.checked, said, silent(appraisal))
    currency = appraisal.logbook.settings.currency or "the fleet's currency"
    about = (
        *answer.about,
        f"Amounts in {currency}; low and high hold 8 of 10 seasons. saved: what the plan's rule "
        "saves against the rule of that row; below nought it costs more.",
        "Bays, hires and stock stand in no rule's way here. Calendar and hours are each at the "
        "ages that cost this fleet least.",
        *found.assumed,
    )
    return Answer(answer.rows, about, SAVINGS, answer.zone)
