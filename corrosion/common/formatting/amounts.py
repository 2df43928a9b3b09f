"""Numbers, ranges, sizes, prices and counts as a person would say them."""

from __future__ import annotations

import math
from typing import Final

MM_PER_INCH: Final = 25.4  # exactly, by definition (NIST SP 811)
LONG_DAYS: Final = 730


def number(value: float | None) -> str:
    """Write a quantity with two significant digits at most, thousands apart.

    Parameters
    ----------
    value : float or None
        Any finite number; None or NaN when it is not known.

    Returns
    -------
    str
        ``20``, ``1.3``, ``0.04``, ``1 300``.
    """
    value = known(value)
    if math.isnan(value):
        return "not known"
    if value == 0.0:
        return "0"
    places = 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    text = f"{rounded:,.{max(places, 0)}f}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    return text.rstrip("0").rstrip(".") if "." in text else text


def span(
    low: float | None, middle: float | None, high: float | None, unit: str, currency: str = ""
) -> str:
    """Say a range with its unit: ``12 to 31 h, most likely 20``.

    Parameters
    ----------
    low, middle, high : float or None
        Ends of the range and its middle, in `unit`; an unknown or endless `high` is open. A middle
        that the range does not hold (the mean of what is skewed) is not the likeliest: left out.
    unit : str
        The unit as written, such as ``h`` or ``days``.
    currency : str
        Of an amount of money, which stands before it.

    Returns
    -------
    str
        The range; one number when both ends read alike; ``not known`` without a lower end.
    """
    low, middle, high = known(low), known(middle), known(high)
    if math.isnan(low):
        return "not known"
    unit_text = f" {unit}" if unit else ""
    if math.isnan(high):
        return f"{price(low, currency)}{unit_text} or more"
    if number(low) == number(high):
        return f"about {price(low, currency)}{unit_text}"
    likely = f", most likely {number(middle)}" if low <= middle <= high else ""
    return f"{price(low, currency)} to {number(high)}{unit_text}{likely}"


def days_left(low: float | None, middle: float | None, high: float | None) -> str:
    """Say the days until an anode reaches its limit, 80 % of the time inside the range.

    Parameters
    ----------
    low, middle, high : float or None
        The 10, 50 and 90 % points, days from now.

    Returns
    -------
    str
        ``12 to 31 days, most likely 20``, or ``at or past its limit now``, or, with the
        lower end reached, ``up to 9 days, most likely 3``; ends beyond two years stay open.
    """
    low, middle, high = known(low), known(middle), known(high)
    if low > LONG_DAYS:
        return "more than two years"
    if high > LONG_DAYS:
        high = math.nan
    if high < 0.5:
        return "at or past its limit now"
    if middle < 0.5:
        return "probably at its limit now"
    if low < 0.5:
        if math.isnan(high):
            return "from today on; when is not known"
        return f"up to {number(high)} days, most likely {_whole(middle)}"
    return span(_floor(low), _floor(middle), _floor(high), "days")


def size(size_mm: float | None, length_unit: str = "mm") -> str:
    """Write a caliper reading in the unit of the caliper.

    Parameters
    ----------
    size_mm : float or None
        Size, mm.
    length_unit : {'mm', 'in'}
        The unit on the fleet's calipers.

    Returns
    -------
    str
        ``7.25 mm`` or ``0.285 in``; a reading keeps the digits that a caliper shows.
    """
    size_mm = known(size_mm)
    if math.isnan(size_mm):
        return "not measured"
    if length_unit == "in":
        return f"{size_mm / MM_PER_INCH:.3f} in"
    return f"{size_mm:.2f}".removesuffix("0") + " mm"


def price(amount: float | None, currency: str) -> str:
    """Say an amount of money with its currency; ``not known`` for none."""
    text = number(amount)
    return text if text == "not known" else f"{currency} {text}".strip()


def price_span(low: float | None, high: float | None, currency: str) -> str:
    """Say a range of money with its currency; ``not known`` where it has no lower end."""
    lowest = price(low, currency)
    return lowest if lowest == "not known" else f"{lowest} to {number(high)}"


def count(how_many: int, noun: str, plural: str | None = None) -> str:
    """Write a count with its noun in the right number: ``1 hull``, ``3 hulls``."""
    return f"{how_many} {noun if how_many == 1 else plural or noun + 's'}"


def known(value: float | None) -> float:
    """Give NaN for everything that is not known: None, NaN and endless."""
    return math.nan if value is None or not math.isfinite(value) else float(value)


def _floor(days: float) -> float:
    return days if math.isnan(days) else float(max(math.floor(days), 1))


def _whole(days: float) -> str:
    return "not known" if math.isnan(days) else number(max(round(days), 1))
