"""Metal left: one mark for how much of an anode is there, on every list, page, phone and sheet.

A bar from new size (right) down to the limit (the upright line) and past it. Solid: metal that is
there in 9 chances of 10. Striped: there or gone, the range that holds 8 in 10. Triangle: the last
look. It is drawn in the ink of the text around it, so that it reads in the dark, in grey and on
paper; its words stand beside it (`in_words`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd
from markupsafe import Markup

KEY: Final = (
    "Metal left: the bar runs from new (right) down to the limit (upright line) and past it; "
    "striped: its range, 8 in 10; triangle: the last look."
)
ON_PAPER: Final = "Bar: metal left, estimated; new (right) to limit (line); striped: range."
WIDTH: Final = 168
HEIGHT: Final = 26
_PAST: Final = -0.4
"""How far past the limit the bar goes, share of the allowance; what is further stands there."""
_LEFT, _RIGHT, _TOP, _FOOT = 4.0, 164.0, 5.0, 18.0
_STRIPE: Final = 3.0


@dataclass(frozen=True)
class MetalLeft:
    """What is left of an anode, as shares of its allowance: 1 new, 0 at its limit, below it past.

    Attributes
    ----------
    least, likely, most : float
        Range that holds 8 in 10, and its middle; NaN where the anode was never seen.
    last : float
        What the last look saw; NaN where it saw no size.
    """

    least: float
    likely: float
    most: float
    last: float


def metal_left(anode: Any) -> MetalLeft:
    """Take the mark's numbers from a row of the forecast's anodes.

    Parameters
    ----------
    anode : row with `worn`, `worn_low`, `worn_high`, `last_worn`, shares of the allowance

    Returns
    -------
    MetalLeft
    """
    return MetalLeft(
        *(_rest(share) for share in (anode.worn_high, anode.worn, anode.worn_low, anode.last_worn))
    )


def in_words(metal: MetalLeft) -> str:
    """Say what is left: ``31 % left (24 to 38 %)``, ``none left (none to 4 %)``, ``not known``."""
    if math.isnan(metal.likely):
        return "not known"
    likely, least, most = (_said(part) for part in (metal.likely, metal.least, metal.most))
    likely = f"{likely} left" if metal.likely < 0.995 else likely
    if least == most:
        return f"{likely}, past its limit" if metal.most <= 0 else likely
    ends = f"{least.removesuffix(' %')} to {most}" if least != "none" else f"none to {most}"
    return f"{likely} ({ends})"


def draw(metal: MetalLeft) -> str:
    """Draw the mark as SVG, hidden from screen readers: its words stand beside it.

    Parameters
    ----------
    metal : MetalLeft

    Returns
    -------
    str
        An `svg` element of WIDTH by HEIGHT pixels in the ink of the text around it.
    """
    shapes = [_outline(known=not math.isnan(metal.likely)), _limit()]
    if not math.isnan(metal.likely):
        shapes += [_solid(metal), _stripes(metal), _eaten(metal), _middle(metal)]
    if not math.isnan(metal.last):
        at = _x(metal.last)
        shapes.append(f'<path d="M{at:.1f} {_FOOT + 1:.0f}l3.5 6h-7z" fill="currentColor"/>')
    return (
        f'<svg class="metal" width="{WIDTH}" height="{HEIGHT}" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'aria-hidden="true" focusable="false">{"".join(shapes)}</svg>'
    )


def draw_on_paper(metal: MetalLeft) -> Markup:
    """Draw the mark for a printed sheet, whose template escapes all but markup."""
    return Markup(draw(metal))  # drawn from numbers alone


def _rest(worn: Any) -> float:
    return math.nan if worn is None or pd.isna(worn) else 1.0 - float(worn)


def _said(left: float) -> str:
    if left <= 0.0:
        return "none"
    return "as new" if left >= 0.995 else f"{min(max(round(100 * left), 1), 99)} %"


def _x(left: float) -> float:
    share = (min(max(left, _PAST), 1.0) - _PAST) / (1.0 - _PAST)
    return _LEFT + share * (_RIGHT - _LEFT)


def _outline(*, known: bool) -> str:
    dash = "" if known else ' stroke-dasharray="3 3"'
    return (
        f'<rect x="{_LEFT}" y="{_TOP}" width="{_RIGHT - _LEFT}" height="{_FOOT - _TOP}" rx="3" '
        f'fill="none" stroke="currentColor" stroke-opacity="0.65"{dash}/>'
    )


def _limit() -> str:
    return f'<path d="M{_x(0.0):.1f} 1V{_FOOT + 3:.0f}" stroke="currentColor" stroke-width="2.5"/>'


def _solid(metal: MetalLeft) -> str:
    width = _x(metal.least) - _LEFT
    return (
        f'<rect x="{_LEFT}" y="{_TOP}" width="{width:.1f}" height="{_FOOT - _TOP}" rx="2" '
        'fill="currentColor" fill-opacity="0.55"/>'
    )


def _stripes(metal: MetalLeft) -> str:
    """Stripe the range: metal that may be there."""
    start, end = _x(metal.least), _x(metal.most)
    at, lines = start + 1.0, []
    while at < end:
        lines.append(f"M{at:.1f} {_TOP + 1:.0f}V{_FOOT - 1:.0f}")
        at += _STRIPE
    if not lines:
        return ""
    return f'<path d="{"".join(lines)}" stroke="currentColor" stroke-opacity="0.75"/>'


def _eaten(metal: MetalLeft) -> str:
    """Cross out what lies between the limit and the metal that is left of an anode past it."""
    start, end = _x(metal.likely), _x(0.0)
    if metal.likely >= 0.0:
        return ""
    return (
        f'<path class="eaten" d="M{start:.1f} {_TOP}L{end:.1f} {_FOOT}M{start:.1f} {_FOOT}'
        f'L{end:.1f} {_TOP}" stroke="#c9500a" stroke-width="2"/>'
    )


def _middle(metal: MetalLeft) -> str:
    at = _x(metal.likely)
    return f'<path d="M{at:.1f} {_TOP}V{_FOOT}" stroke="currentColor" stroke-width="2"/>'
