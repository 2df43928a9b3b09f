"""The command `looks`: when to look at each anode next, and the week's round."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from corrosion.command_line.answers import Answer, about_fleet, appraised, silent
from corrosion.command_line.output import refuse_place

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal
    from corrosion.workshop import Looks

LOOKS = ("hull_id", "position", "mooring_id", "look_by", "why", "worth", "cost")
BESIDE = (
    *("minutes", "asks", "with_pull_out", "changes", "act_size_mm", "act_chance", "in_round"),
    *("group", "last_read_at", "last_size_mm", "worn"),
)


def looks(options: argparse.Namespace) -> Answer:
    """List every anode in service with the date of its next look."""
    from corrosion.workshop import make_plan, schedule_looks

    appraisal = appraised(options)
    schedule = schedule_looks(appraisal, make_plan(appraisal, options.week), options.week)
    key = ["hull_id", "position"]
    walked = schedule.round[key].assign(in_round=range(1, len(schedule.round) + 1))
    rows = schedule.table.merge(walked, on=key, how="left").astype({"in_round": "Int64"})
    answer = about_fleet(
        rows[[*LOOKS, *BESIDE]], LOOKS, appraisal.checked, f", week of {schedule.week:%Y-%m-%d}",
        silent(appraisal),
    )  # fmt: skip
    currency = appraisal.logbook.settings.currency
    about = (
        *answer.about,
        *about_looks(schedule, currency),
        *_sheets(schedule, appraisal, options),
    )
    return Answer(answer.rows, about, LOOKS, answer.zone)


def _sheets(schedule: Looks, appraisal: Appraisal, options: argparse.Namespace) -> tuple[str, ...]:
    """Write the round on both papers, where that was asked for."""
    from corrosion.common import write_whole
    from corrosion.reports import PAPERS, round_sheet

    if options.sheets is None:
        return ()
    texts = {
        options.sheets / f"round-{schedule.week}-{paper}.html": round_sheet(
            schedule, appraisal, paper
        )
        for paper in PAPERS
    }
    for path in texts:
        refuse_place(path, options.fleet)
    for path, text in texts.items():
        write_whole(path, text.encode("utf-8"))
    return (f"The round, A4 and Letter: in {options.sheets}.",)


def about_looks(looks: Looks, currency: str) -> tuple[str, ...]:
    """Say what the week's round takes, where wear rose, and what was assumed.

    Parameters
    ----------
    looks : Looks
    currency : str

    Returns
    -------
    tuple of str, one line each
    """
    walk = looks.round
    money = f"{currency} {walk['cost'].sum():.0f}".strip()
    hulls, minutes = walk["hull_id"].nunique(), walk["minutes"].sum()
    along = int(looks.table["with_pull_out"].notna().sum())
    lines = [
        f"This week's round: {len(walk)} looks on {hulls} hulls, {minutes:.0f} minutes, {money}. "
        f"Planned pull-outs take {along} more along.",
    ]
    lines += [
        f"{each.hull_id}: wear {each.ratio:.1f} times its own past at its last look; its sisters "
        f"at {each.group} are looked at this week."
        for each in looks.surprises
    ]
    return (*lines, *(f"Assumed: {each}" for each in looks.assumed))
