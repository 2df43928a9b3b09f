"""The commands `parts` and `costs`: what to order, and what anode work costs."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from corrosion.commands.answers import Answer, about_fleet, appraised

if TYPE_CHECKING:
    from corrosion.parts import Parts


def parts(options: argparse.Namespace) -> Answer:
    """List the parts: what the coming weeks take, what is there, what to order by when."""
    from corrosion.parts import parts as parts_of

    appraisal = appraised(options)
    found = parts_of(appraisal)
    weeks = options.weeks
    shown = (
        *("part_number", "used_for", "anodes", "on_hand", "order", "order_by"),
        *(f"need_{weeks}_low", f"need_{weeks}", f"need_{weeks}_high", f"seals_{weeks}"),
        "short_before",
    )
    answer = about_fleet(found.table, shown, appraisal.checked, f", {weeks} weeks ahead")
    return Answer(answer.rows, (*answer.about, *_about_parts(found)), shown, answer.zone)


def _about_parts(found: Parts) -> tuple[str, ...]:
    from corrosion.parts import habit_said

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
