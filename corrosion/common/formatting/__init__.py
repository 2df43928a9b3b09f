"""Numbers, chances, ranges and dates as a person would say them.

Pure functions from values to text, used by the pages, the commands and the printed sheets.
A chance from thin data is never said as 0 or 1, and nothing is said with more than two
significant digits: the logs do not carry more.
"""

from __future__ import annotations

from corrosion.common.formatting.amounts import (
    LONG_DAYS,
    MM_PER_INCH,
    count,
    days_left,
    number,
    price,
    price_span,
    size,
    span,
)
from corrosion.common.formatting.chances import chance, level, share, share_span, worn
from corrosion.common.formatting.dates import DAYS, FAR_OFF, MONTHS, day, deadline, last_day, moment
from corrosion.common.formatting.texts import label, listed, plain

__all__ = [
    "DAYS",
    "FAR_OFF",
    "LONG_DAYS",
    "MM_PER_INCH",
    "MONTHS",
    "chance",
    "count",
    "day",
    "days_left",
    "deadline",
    "label",
    "last_day",
    "level",
    "listed",
    "moment",
    "number",
    "plain",
    "price",
    "price_span",
    "share",
    "share_span",
    "size",
    "span",
    "worn",
]
