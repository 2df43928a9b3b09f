"""Chances and shares as a person would say them: never as 0 or 1 from thin data."""

from __future__ import annotations

import math
from typing import Final

from corrosion.common.formatting.amounts import known

# Easy fractions for chances above one in three, each the nearest to say over its stretch.
_EASY: Final = (
    (2 / 5, "2 in 5"),
    (1 / 2, "1 in 2"),
    (3 / 5, "3 in 5"),
    (2 / 3, "2 in 3"),
    (3 / 4, "3 in 4"),
    (4 / 5, "4 in 5"),
    (9 / 10, "9 in 10"),
    (19 / 20, "19 in 20"),
)


def chance(share: float | None) -> str:
    """Say a chance as odds: 0.125 is ``1 in 8``.

    Parameters
    ----------
    share : float or None
        Chance, 0 to 1; None or NaN when it is not known.

    Returns
    -------
    str
        ``1 in 8``, ``3 in 4``; the ends are ``under 1 in 100`` and ``over 99 in 100``.
    """
    share = known(share)
    if math.isnan(share):
        return "not known"
    if share < 0.01:
        return "under 1 in 100"
    if share > 0.99:
        return "over 99 in 100"
    if share <= 0.36:
        return f"1 in {_round_odds(1.0 / share)}"
    return min(_EASY, key=lambda easy: abs(easy[0] - share))[1]


def level(share: float | None, tolerated_risk: float) -> str:
    """Name how a chance stands against the fleet's tolerated risk, with a shape before the word.

    Parameters
    ----------
    share : float or None
        Chance, 0 to 1.
    tolerated_risk : float
        The fleet's own limit, 0 to 1.

    Returns
    -------
    str
        ``▲ High`` above the tolerated risk, ``● Watch`` above a third of it, else ``▽ Low``.
    """
    share = known(share)
    if math.isnan(share):
        return "? Not known"
    if share > tolerated_risk:
        return "▲ High"
    return "● Watch" if share > tolerated_risk / 3.0 else "▽ Low"


def worn(share: float | None) -> str:
    """Say the share of the allowance that is used up.

    Parameters
    ----------
    share : float or None
        Worn, 0 new, 1 at the limit.

    Returns
    -------
    str
        ``84 %``, ``past its limit`` from 1 on, ``as new`` below 1 %.
    """
    share = known(share)
    if math.isnan(share):
        return "not known"
    if share >= 1.0:
        return "past its limit"
    if share < 0.01:
        return "as new"
    return f"{min(max(round(100.0 * share), 1), 99)} %"


def share(part: float | None) -> str:
    """Say a part of a whole: ``25 %``, ``under 1 %``, ``over 99 %``; below nothing ``-12 %``.

    Parameters
    ----------
    part : float or None
        Share, 1 for the whole; negative where something grew.

    Returns
    -------
    str
        Whole per cent; ``not known`` for none.
    """
    part = known(part)
    if math.isnan(part):
        return "not known"
    if part == 0.0:
        return "nothing"
    if 0.0 < part < 0.01:
        return "under 1 %"
    return "over 99 %" if 0.99 < part < 1.0 else f"{round(100.0 * part)} %"


def share_span(low: float | None, high: float | None) -> str:
    """Say a range of shares: ``16 to 34 %``, ``nothing to 8 %``.

    Parameters
    ----------
    low, high : float or None
        Ends, 1 for the whole.

    Returns
    -------
    str
        The range; ``not known`` without both ends.
    """
    low, high = known(low), known(high)
    if math.isnan(low) or math.isnan(high):
        return "not known"
    if share(low) == share(high):
        return share(low)
    return f"{share(low).removesuffix(' %')} to {share(high)}"


def _round_odds(odds: float) -> int:
    """Round odds so that they can be remembered: whole to 20, then by 5, then by 10."""
    step = 1 if odds < 20.5 else 5 if odds < 52.5 else 10
    return min(step * round(odds / step), 100)
