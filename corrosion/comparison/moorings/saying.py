"""Comparisons of moorings as a person would say them."""

from __future__ import annotations

from corrosion.common import formatting
from corrosion.comparison.moorings.comparison import Share

SHARES = (
    (1 / 10, "a tenth"),
    (1 / 8, "an eighth"),
    (1 / 6, "a sixth"),
    (1 / 5, "a fifth"),
    (1 / 4, "a quarter"),
    (1 / 3, "a third"),
    (2 / 5, "two fifths"),
    (1 / 2, "half"),
    (3 / 5, "three fifths"),
    (2 / 3, "two thirds"),
    (3 / 4, "three quarters"),
    (4 / 5, "four fifths"),
    (9 / 10, "nine tenths"),
)


def share(value: float) -> str:
    """Say a share of 1 as an easy fraction: 0.31 is ``a third``.

    Parameters
    ----------
    value : float, above 0

    Returns
    -------
    str
        The nearest fraction to say; under a twelfth ``1 / 17``, above 0.95 ``all``.
    """
    if value < 1 / 12:
        return f"1 / {formatting.number(1 / value)}"
    if value > 0.95:
        return "all"
    return min(SHARES, key=lambda each: abs(each[0] - value))[1]


def lasts(life: Share, short: str, long: str) -> str:
    """Say how long an anode lasts at one mooring against another, with the range.

    Parameters
    ----------
    life : Share, life at `short` over life at `long`, 1 or less
    short, long : str, names of the two moorings as they are to be shown

    Returns
    -------
    str
        A sentence without its full stop.
    """
    if life.high >= 1.0:
        return (
            f"the logs cannot tell {short} from {long}: an anode at {short} may last as long as at "
            f"{long}, or {share(life.low)} as long"
        )
    if long_first(life):
        low, middle, high = (formatting.number(1 / v) for v in (life.high, life.middle, life.low))
        return (
            f"an anode at {long} lasts about {middle} times as long as at {short} "
            f"({low} to {high} times)"
        )
    low, usual, high = (share(each) for each in (life.low, life.middle, life.high))
    ends = "" if low == high else f" ({low} to {high})"
    return f"an anode at {short} lasts about {usual} as long as at {long}{ends}"


def long_first(life: Share) -> bool:
    """Tell whether the longer life is named first: small fractions are said the other way round."""
    return life.middle < 1 / 12 and life.high < 1.0
