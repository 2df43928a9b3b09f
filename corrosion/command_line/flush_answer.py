"""The command `flushing`: what flushing saves in wear, as one object."""

from __future__ import annotations

import argparse
from dataclasses import replace

from corrosion.command_line.answers import Answer, about_fleet, appraised, silent


def flushing(options: argparse.Namespace) -> Answer:
    """Say what flushing after each day's last return would have saved, as JSON in every format."""
    from corrosion.comparison import judge_flushing as judged

    appraisal = appraised(options)
    verdict = judged(appraisal)
    about = about_fleet(
        verdict.by_hull,
        tuple(verdict.by_hull.columns),
        appraisal.checked,
        silence=silent(appraisal),
    )
    return replace(about, rows=verdict.as_object(), shown=())
