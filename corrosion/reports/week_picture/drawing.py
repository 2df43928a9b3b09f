"""Draws the week as lines and shapes (SVG) that take the colours of the page around them."""

from __future__ import annotations

from datetime import timedelta
from html import escape

import numpy as np

from corrosion.reports.week_picture.lanes import Bar, Lane, WeekLanes, hours_shown

WIDTH, NAMES, DAY = 1120.0, 92.0, 146.0
ROW, HEAD, GROUP = 24.0, 22.0, 20.0
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
STYLE = (
    "svg.week{width:100%;height:auto;font:11px/1.2 var(--st-font,sans-serif)}"
    ".week text{fill:currentColor}.week .quiet{opacity:.75}"
    ".week line,.week .edge{stroke:currentColor;stroke-opacity:.25;fill:none}"
    ".week .shut{fill:currentColor;fill-opacity:.07}"
    ".week .hire{fill:currentColor;fill-opacity:.14;stroke:currentColor;stroke-opacity:.55}"
    ".week .gone{fill:none;stroke:currentColor;stroke-dasharray:3 2}"
    ".week .came{fill:currentColor;fill-opacity:.3;stroke:currentColor}"
    ".week .visit{fill:#1f6fb2;stroke:currentColor}.week .visit+text{fill:#fff;font-weight:700}"
    ".week .stop{fill:none;stroke:#c9500a;stroke-width:3}.week .by{stroke:#c9500a;stroke-width:2;"
    "stroke-opacity:1;stroke-dasharray:5 3}.week .now{stroke-opacity:.9;stroke-width:1.5}"
    ".week .name{font-weight:700}.week a:focus-visible text{text-decoration:underline}"
)


def draw_week(week: WeekLanes, address: dict[str, str]) -> str:
    """Draw the week.

    Parameters
    ----------
    week : WeekLanes
    address : mapping of hull_id to the address that a press opens

    Returns
    -------
    str, SVG with a key under it; hulls are links and carry `data-open`
    """
    scale = _Scale(*hours_shown(week.lanes))
    parts, y = [_days(week)], HEAD
    mooring = None
    for lane in week.lanes:
        if lane.mooring_id != mooring:
            mooring = lane.mooring_id
            parts.append(f'<text class="quiet" x="2" y="{y + 14:.0f}">{escape(mooring)}</text>')
            y += GROUP
        parts.append(_lane(lane, week, scale, y, address.get(lane.hull_id, "")))
        y += ROW
    parts.append(_grid(y))
    if 0 <= week.now_h < 168:
        x = scale(week.now_h)
        parts.append(
            f'<line class="now" x1="{x:.1f}" y1="{HEAD:.0f}" x2="{x:.1f}" y2="{y:.0f}"/>'
            f'<text x="{x + 3:.1f}" y="{HEAD + 11:.0f}">now</text>'
        )
    label = f"Week of {week.week:%Y-%m-%d}: hires, visits and stops of {len(week.lanes)} hulls"
    return (
        f"<style>{STYLE}</style>"
        f'<svg class="week" role="group" aria-label="{escape(label)}" '
        f'viewBox="0 0 {WIDTH:.0f} {y + 2:.0f}">{"".join(parts)}</svg>{_key(week, scale)}'
    )


class _Scale:
    """From local hours since Monday 00:00 to a place across; nights outside the hours are cut."""

    def __init__(self, first: float, last: float) -> None:
        self.first, self.last = first, last

    def __call__(self, hours: float) -> float:
        """Return the place across."""
        day = float(np.clip(np.floor(hours / 24), 0, 7))
        inside = np.clip(hours - 24 * day, self.first, self.last) - self.first
        return (
            NAMES + DAY * min(day, 7) + (DAY * float(inside) / (self.last - self.first)) * (day < 7)
        )


def _days(week: WeekLanes) -> str:
    names = []
    for number, name in enumerate(WEEKDAYS):
        day = week.week + timedelta(days=number)
        x = NAMES + DAY * number + 4
        names.append(f'<text x="{x:.0f}" y="14"><tspan>{name} {day.day}</tspan></text>')
    return "".join(names)


def _grid(height: float) -> str:
    places = [NAMES + DAY * number for number in range(8)]
    return "".join(f'<line x1="{x:.0f}" y1="0" x2="{x:.0f}" y2="{height:.0f}"/>' for x in places)


def _lane(lane: Lane, week: WeekLanes, scale: _Scale, y: float, address: str) -> str:
    shut = week.closed.get(lane.mooring_id, (True,) * 7)
    ground = "".join(
        f'<rect class="shut" x="{NAMES + DAY * n:.0f}" y="{y:.0f}" width="{DAY:.0f}" '
        f'height="{ROW:.0f}"/>'
        for n, closed in enumerate(shut)
        if closed
    )
    name = escape(lane.hull_id)
    mark = "▲ " if lane.stopped else ""
    link = (
        f'<a href="{escape(address)}" data-open="{name}"><text class="name" x="8" '
        f'y="{y + 16:.0f}">{mark}{name}</text></a>'
    )
    under = sorted(lane.bars, key=lambda bar: bar.kind != "stop")
    drawn = [scale(bar.start_h) for bar in lane.bars if bar.kind in SHAPES]
    bars = "".join(_bar(bar, scale, y, address, name, drawn) for bar in under)
    edge = f'<line x1="0" y1="{y + ROW:.0f}" x2="{WIDTH:.0f}" y2="{y + ROW:.0f}"/>'
    return ground + link + bars + edge


SHAPES = {
    "hire": "hire", "moved-away": "gone", "moved-here": "came", "cancelled": "gone",
    "visit": "visit",
}  # fmt: skip


LETTER = 6.2
"""Width of a letter of the picture's type, about; digits and lower case at 11 px."""


def _label(bar: Bar, a: float, b: float, y: float, starts: list[float]) -> str:
    """Write a bar's label in it where it fits, else behind it, else before it, else not at all."""
    needs = LETTER * len(bar.label) + 6.0
    behind = min([x for x in starts if x > a + 0.1] + [WIDTH])
    if not bar.label:
        return ""
    if needs <= b - a or bar.kind == "visit":
        return f'<text x="{a + 3:.1f}" y="{y:.0f}">{escape(bar.label)}</text>'
    if b + needs <= behind:
        return f'<text x="{b + 3:.1f}" y="{y:.0f}">{escape(bar.label)}</text>'
    if a - needs >= NAMES and not any(a - needs - DAY / 2 < x < a - 0.1 for x in starts):
        return f'<text x="{a - 3:.1f}" y="{y:.0f}" text-anchor="end">{escape(bar.label)}</text>'
    return ""


def _bar(bar: Bar, scale: _Scale, y: float, address: str, name: str, starts: list[float]) -> str:
    a, b = scale(max(bar.start_h, 0.0)), scale(min(bar.end_h, 168.0))
    title = f"<title>{escape(bar.says)}</title>"
    middle = y + ROW / 2
    if bar.kind == "pull-by":
        return f'<line class="by" x1="{b:.1f}" y1="{y:.0f}" x2="{b:.1f}" y2="{y + ROW:.0f}"/>'
    if bar.kind == "stop":
        return (
            f'<g>{title}<line class="stop" x1="{a:.1f}" y1="{y + ROW - 3:.0f}" x2="{b:.1f}" '
            f'y2="{y + ROW - 3:.0f}"/></g>'
        )
    if bar.kind == "look-first":
        points = f"{a},{middle - 8} {a + 7},{middle} {a},{middle + 8} {a - 7},{middle}"
        return f'<g>{title}<polygon class="came" points="{points}"/></g>'
    wide = max(b - a, 3.0)
    shape = (
        f'<rect class="{SHAPES[bar.kind]}" x="{a:.1f}" y="{y + 4:.0f}" width="{wide:.1f}" '
        f'height="{ROW - 9:.0f}" rx="2"/>'
    )
    text = _label(bar, a, a + wide, middle + 3, starts)
    if bar.kind == "cancelled":
        text = (
            f'<line class="stop" x1="{a:.1f}" y1="{y + 4:.0f}" x2="{a + wide:.1f}" '
            f'y2="{y + ROW - 5:.0f}"/>'
        )
    inside = f"{title}{shape}{text}"
    return f'<a href="{escape(address)}" data-open="{name}" tabindex="-1">{inside}</a>'


def _key(week: WeekLanes, scale: _Scale) -> str:
    more = f" {week.left_away} more hulls stand in the list." if week.left_away else ""
    hours = f"{scale.first:.0f}:00 to {scale.last:.0f}:00"
    return (
        f"<small>Each day from {hours}. Light bar: hire; dashed: hire that moves away, struck "
        "through: cancelled; dark grey: hire that came from another hull; blue: in the bay "
        "of that number; "
        "diamond: look before that hire; line under the bars: not for hire (▲); dashed line: "
        f"pull by; shaded: no bay works.{more}</small>"
    )
