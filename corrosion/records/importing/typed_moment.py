"""Typed moment: one date or time as a person writes it in a field, where it can mean only one."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from corrosion.records.importing.moments_in import Clock, day_order, moment_of
from corrosion.records.importing.raw import Cell


def typed_moment(text: str, zone: ZoneInfo) -> tuple[datetime | None, str]:
    """Read a date, or a date and a time, in any form that can mean only one.

    Parameters
    ----------
    text : str
        Such as 2031-05-02, 2 May 2031, 2.5.2031 14:30, 5/31/2031.
    zone : ZoneInfo
        Where the clock hangs, for a time without an offset.

    Returns
    -------
    datetime or None, str
        The moment (UTC) and nothing; or none and why, to be read behind the text. Of a time that
        the clock showed twice it is the earlier one.
    """
    order = day_order([Cell(text)])
    if isinstance(order, str):
        return None, "may be two dates; write the month as a word, or the year first"
    return moment_of(text, Clock(order is not False, zone, "earlier"))
