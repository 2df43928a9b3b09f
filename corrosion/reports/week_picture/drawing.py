"""Draws the week as lines and shapes (SVG) that take the colours of the page around them.

Twice: wide, a hull's name before its days and labels beside the bars; and narrow, for a phone,
where name and words stand above the hull's days, since nothing hovers there. A page shows one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from html import escape

import numpy as np

from corrosion.reports.week_picture.lanes import Bar, Lane, WeekLanes, hours_shown

GROUP = 20.0
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True)
class Form:
    """Sizes of one form of the picture, about pixels; `words` is the height above the bars."""

    kind: str
    width: float
    names: float
    day: float
    row: float
    head: float
    words: float


WIDE = Form("wide", 1120.0, 92.0, 146.0, 24.0, 22.0, 0.0)
NARROW = Form("narrow", 358.0, 0.0, 51.0, 44.0, 42.0, 18.0)
MOST_LETTERS = 46
"""So many fit beside a hull's name on a phone."""
STYLE = (
    "svg.week{width:100%;height:auto;font:11px/1.2 var(--st-font,sans-serif)}"
    ".week text{fill:currentColor}.week .quiet{opacity:.75}"
    ".week line,.week .edge{stroke:currentColor;stroke-opacity:.25;fill:none}"
    ".week .shut{fill:currentColor;fill-opacity:.07}"
    ".week .hire{fill:currentColor;fill-opacity:.14;stroke:currentColor;stroke-opacity:.55}"
    ".week .gone{fill:none;stroke:currentColor;stroke-dasharray:3 2}"
    ".week .came{fill:currentColor;fill-opacity:.3;stroke:currentColor}"
    ".week .visit{fill:#1f6fb2;stroke:currentColor}.week .visit+text{fill:#fff;font-weight:700}"
    ".week .stop{fill:none;stroke:#c9500a;stroke-width:3;stroke-opacity:1}"
    ".week .by{stroke:#c9500a;stroke-width:2;stroke-opacity:1;stroke-dasharray:5 3}"
    ".week .now{stroke-opacity:.9;stroke-width:1.5}"
    "svg.narrow{font-size:12px}.narrow g{pointer-events:none}"
    ".week .row{fill:transparent;stroke:none}"
    ".week .name{font-weight:700}.week a:focus-visible text{text-decoration:underline}"
)


def draw_week(week: WeekLanes, address: dict[str, str]) -> str:
    """Draw the week, for a wide screen and for a phone.

    Parameters
    ----------
    week : WeekLanes
    address : mapping of hull_id to the address that a press opens

    Returns
    -------
    str, two SVG of class `week`, `wide` and `narrow`, of which the page shows one, with a key under
    them; hulls are links and carry `data-open`
    """
    hours = hours_shown(week.lanes)
    drawn = "".join(_draw(week, address, _Scale(form, *hours)) for form in (WIDE, NARROW))
    return f"<style>{STYLE}</style>{drawn}{_key(week, *hours)}"


def _draw(week: WeekLanes, address: dict[str, str], scale: _Scale) -> str:
    form = scale.form
    parts, y, mooring = [_days(week, form)], form.head, None
    for lane in week.lanes:
        if lane.mooring_id != mooring:
            mooring = lane.mooring_id
            parts.append(f'<text class="quiet" x="2" y="{y + 14:.0f}">{escape(mooring)}</text>')
            y += GROUP
        parts.append(_lane(lane, week, scale, y, address.get(lane.hull_id, "")))
        y += form.row
    parts += [_grid(form, y), _now(week.now_h, scale, y)]
    label = f"Week of {week.week:%Y-%m-%d}: hires, visits and stops of {len(week.lanes)} hulls"
    return (
        f'<svg class="week {form.kind}" role="group" aria-label="{escape(label)}" '
        f'viewBox="0 0 {form.width:.0f} {y + 2:.0f}">{"".join(parts)}</svg>'
    )


def _now(now_h: float, scale: _Scale, bottom: float) -> str:
    """Draw the moment from which the page looks, with its word."""
    if not 0 <= now_h < 168:
        return ""
    x, head = scale(now_h), scale.form.head
    wide = scale.form is WIDE
    late = x > scale.form.width - 40
    word = f'x="{x - 3 if late else x + 3:.1f}" y="{head + 11 if wide else head - 4:.0f}"'
    end = ' text-anchor="end"' if late else ""
    return (
        f'<line class="now" x1="{x:.1f}" y1="{head - (0 if wide else 14):.0f}" x2="{x:.1f}" '
        f'y2="{bottom:.0f}"/><text {word}{end}>now</text>'
    )


class _Scale:
    """From local hours since Monday 00:00 to a place across; nights outside the hours are cut."""

    def __init__(self, form: Form, first: float, last: float) -> None:
        self.form, self.first, self.last = form, first, last

    def __call__(self, hours: float) -> float:
        """Return the place across."""
        day = float(np.clip(np.floor(hours / 24), 0, 7))
        inside = np.clip(hours - 24 * day, self.first, self.last) - self.first
        across = min(day, 7) + (float(inside) / (self.last - self.first)) * (day < 7)
        return self.form.names + self.form.day * across


def _days(week: WeekLanes, form: Form) -> str:
    names = []
    for number, name in enumerate(WEEKDAYS):
        day = (week.week + timedelta(days=number)).day
        x = form.names + form.day * number + 4
        date = f'<tspan x="{x:.0f}" dy="13">{day}</tspan>' if form is NARROW else f" {day}"
        names.append(f'<text x="{x:.0f}" y="12">{name}{date}</text>')
    return "".join(names)


def _grid(form: Form, height: float) -> str:
    across = [form.names + form.day * number for number in range(8)]
    return "".join(f'<line x1="{x:.0f}" y1="0" x2="{x:.0f}" y2="{height:.0f}"/>' for x in across)


def _lane(lane: Lane, week: WeekLanes, scale: _Scale, y: float, address: str) -> str:
    form, top = scale.form, y + scale.form.words
    bottom = y + form.row
    shut = week.closed.get(lane.mooring_id, (True,) * 7)
    ground = "".join(
        f'<rect class="shut" x="{form.names + form.day * n:.0f}" y="{top:.0f}" '
        f'width="{form.day:.0f}" height="{bottom - top:.0f}"/>'
        for n, closed in enumerate(shut)
        if closed
    )
    name = escape(lane.hull_id)
    link = (
        f'<a href="{escape(address)}" data-open="{name}">{_whole_row(form, y)}<text class="name" '
        f'x="{8 if form is WIDE else 2}" y="{y + 16 - form.words / 9:.0f}">'
        f"{'▲ ' if lane.stopped else ''}{name}{_words(lane, form)}</text></a>"
    )
    under = sorted(lane.bars, key=lambda bar: bar.kind != "stop")
    drawn = [scale(bar.start_h) for bar in lane.bars if bar.kind in SHAPES]
    bars = "".join(_bar(bar, scale, top, address, name, drawn) for bar in under)
    edge = f'<line x1="0" y1="{bottom:.0f}" x2="{form.width:.0f}" y2="{bottom:.0f}"/>'
    return ground + link + bars + edge


def _whole_row(form: Form, y: float) -> str:
    """On a phone a thumb may press anywhere on the hull's row."""
    if form is WIDE:
        return ""
    return f'<rect class="row" x="0" y="{y:.0f}" width="{form.width:.0f}" height="{form.row:.0f}"/>'


def _words(lane: Lane, form: Form) -> str:
    """Say beside the name, on a phone, what the bars mean, so far as it fits."""
    if form is WIDE:
        return ""
    notes = ["not for hire"] if lane.stopped else []
    last_due = sorted(lane.bars, key=lambda bar: bar.kind == "pull-by")
    notes += [note for bar in last_due if (note := _note(bar))]
    text = ""
    for note in dict.fromkeys(notes):
        if len(lane.hull_id) + len(text) + len(note) > MOST_LETTERS:
            text += " …"
            break
        text += f"{',' if text else ''} {note}"
    return f'<tspan class="quiet" font-weight="400" dx="4">{escape(text)}</tspan>'


def _note(bar: Bar) -> str:
    day = WEEKDAYS[int(min(max(bar.start_h, 0.0), 167.0) // 24)]
    return {
        "visit": f"out {day}, bay {bar.label}",
        "moved-away": f"hire {bar.label}",
        "moved-here": f"hire {bar.label}",
        "cancelled": f"{day}\N{RIGHT SINGLE QUOTATION MARK}s hire cancelled",
        "look-first": f"look first {day}",
        "pull-by": f"pull by {day}",
    }.get(bar.kind, "")


SHAPES = {
    "hire": "hire", "moved-away": "gone", "moved-here": "came", "cancelled": "gone",
    "visit": "visit",
}  # fmt: skip


LETTER = 6.2
"""Width of a letter of the picture's type, about; digits and lower case at 11 px."""


def _label(bar: Bar, a: float, b: float, y: float, starts: list[float], form: Form) -> str:
    """Write a bar's label in it where it fits, else behind it, else before it, else not at all."""
    needs = LETTER * len(bar.label) + 6.0
    if not bar.label:
        return ""
    if form is NARROW:  # the bay's number alone; the words stand beside the name
        middle = f'<text x="{(a + b) / 2:.1f}" y="{y:.0f}" text-anchor="middle">'
        return f"{middle}{escape(bar.label)}</text>" if bar.kind == "visit" else ""
    behind = min([x for x in starts if x > a + 0.1] + [form.width])
    if needs <= b - a or bar.kind == "visit":
        return f'<text x="{a + 3:.1f}" y="{y:.0f}">{escape(bar.label)}</text>'
    if b + needs <= behind:
        return f'<text x="{b + 3:.1f}" y="{y:.0f}">{escape(bar.label)}</text>'
    clear = not any(a - needs - form.day / 2 < x < a - 0.1 for x in starts)
    if a - needs >= form.names and clear:
        return f'<text x="{a - 3:.1f}" y="{y:.0f}" text-anchor="end">{escape(bar.label)}</text>'
    return ""


def _bar(bar: Bar, scale: _Scale, y: float, address: str, name: str, starts: list[float]) -> str:
    a, b = scale(max(bar.start_h, 0.0)), scale(min(bar.end_h, 168.0))
    title = f"<title>{escape(bar.says)}</title>"
    high = scale.form.row - scale.form.words
    middle = y + high / 2
    if bar.kind == "pull-by":
        return f'<line class="by" x1="{b:.1f}" y1="{y:.0f}" x2="{b:.1f}" y2="{y + high:.0f}"/>'
    if bar.kind == "stop":
        return (
            f'<g>{title}<line class="stop" x1="{a:.1f}" y1="{y + high - 3:.0f}" x2="{b:.1f}" '
            f'y2="{y + high - 3:.0f}"/></g>'
        )
    if bar.kind == "look-first":
        points = f"{a},{middle - 8} {a + 7},{middle} {a},{middle + 8} {a - 7},{middle}"
        return f'<g>{title}<polygon class="came" points="{points}"/></g>'
    wide = max(b - a, 3.0)
    shape = (
        f'<rect class="{SHAPES[bar.kind]}" x="{a:.1f}" y="{y + 4:.0f}" width="{wide:.1f}" '
        f'height="{high - 9:.0f}" rx="2"/>'
    )
    text = _label(bar, a, a + wide, middle + 3, starts, scale.form)
    if bar.kind == "cancelled":
        text = (
            f'<line class="stop" x1="{a:.1f}" y1="{y + 4:.0f}" x2="{a + wide:.1f}" '
            f'y2="{y + high - 5:.0f}"/>'
        )
    inside = f"{title}{shape}{text}"
    if scale.form is NARROW:  # the whole row is the link there
        return f"<g>{inside}</g>"
    return f'<a href="{escape(address)}" data-open="{name}" tabindex="-1">{inside}</a>'


def _key(week: WeekLanes, first: float, last: float) -> str:
    more = f" {week.left_away} more hulls stand in the list." if week.left_away else ""
    hours = f"{first:.0f}:00 to {last:.0f}:00"
    return (
        f"<small>Each day from {hours}. Light bar: hire; dashed: hire that moves away, struck "
        "through: cancelled; dark grey: hire that came from another hull; blue: in the bay "
        "of that number; "
        "diamond: look before that hire; line under the bars: not for hire (▲); dashed line: "
        f"pull by; shaded: no bay works.{more}</small>"
    )
