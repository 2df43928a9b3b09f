"""Commands that compare: moorings side by side."""

from __future__ import annotations

import argparse

from corrosion.command_line.answers import Answer, about_fleet, appraised, silent

MOORINGS = ("mooring_id", "water", "hulls", "raw_ratio", "adjusted_ratio", "low", "high")


def moorings(options: argparse.Namespace) -> Answer:
    """List wear at each mooring against the fleet's mean, raw and with all else held equal."""
    from corrosion.comparison import compare_moorings as compared

    appraisal = appraised(options)
    return about_fleet(compared(appraisal), MOORINGS, appraisal.checked, silence=silent(appraisal))
