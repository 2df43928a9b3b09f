"""Words of a command line read as what they stand for; what is not understood is refused."""

from __future__ import annotations

import argparse
from datetime import date, datetime
from pathlib import Path

MOST_WEEKS = 13  # a quarter; the plan takes longer to find the more weeks it has
LONGEST_WEEKS_BACK = 260
MOST_DAYS_AHEAD = 730  # past two years ahead, no use of a hull is known at all


def date_or_time(text: str) -> str:
    """Let a date or a time through as it was typed.

    It is read later, in the fleet's own time zone, which only the fleet's settings tell.
    """
    try:
        datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no date or time; write 2031-05-02 or 2031-05-02T14:30"
        ) from None
    return text


def folder_or_address(text: str) -> Path | str:
    """Take an address such as `s3://fleets/ours` as it is, anything else as a path."""
    return text if "://" in text else Path(text)


def days_ahead(text: str) -> int:
    """Read a number of whole days, 1 to `MOST_DAYS_AHEAD`."""
    days = int(text) if text.isascii() and text.isdigit() else 0
    if not 1 <= days <= MOST_DAYS_AHEAD:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not between 1 and {MOST_DAYS_AHEAD} whole days"
        )
    return days


def some_date(text: str) -> date:
    """Read a date."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date; write 2031-05-02") from None


def weeks_ahead(text: str) -> int:
    """Read a number of whole weeks, 1 to `MOST_WEEKS`."""
    weeks = int(text) if text.isascii() and text.isdigit() else 0
    if not 1 <= weeks <= MOST_WEEKS:
        raise argparse.ArgumentTypeError(f"{text!r} is not between 1 and {MOST_WEEKS} whole weeks")
    return weeks


def weeks_back(text: str) -> int:
    """Read a number of whole weeks to go back, 1 to 260."""
    weeks = int(text) if text.isascii() and text.isdigit() else 0
    if not 1 <= weeks <= LONGEST_WEEKS_BACK:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not between 1 and {LONGEST_WEEKS_BACK} whole weeks"
        )
    return weeks
