"""Questions about a size: another unit, a lost point, another place, a new anode."""

from __future__ import annotations

from typing import Final

import pandas as pd

from corrosion.common import formatting
from corrosion.data_entry.drafts import AS_TYPED, Row
from corrosion.data_entry.known import Place
from corrosion.data_entry.questions import About, Question

POINTS: Final = (10.0, 0.1, 100.0, 0.01)
CONVERTED: Final = frozenset(
    {"inch-for-mm", "converted-twice", "decimal-point-lost", "radius-for-diameter",
     "depth-for-remaining"}
)  # fmt: skip
FAR_SD, NEAR_SD = 4.5, 2.5
"""A size is far from what is expected, and near to it, in standard deviations."""
LEAST_FAR_MM: Final = 0.6


def other_unit(about: About) -> Question | None:
    """The caliper may show inches where the form reads millimetres, or the other way round."""
    if "inch-for-mm" in about.rules:
        return _factor(about, "inch-for-mm", formatting.MM_PER_INCH, "far too small", "inches")
    if "converted-twice" in about.rules:
        return _factor(
            about, "converted-twice", 1 / formatting.MM_PER_INCH, "far too large", "millimetres"
        )
    return None


def decimal_point(about: About) -> Question | None:
    """The point may have been lost or moved."""
    if "decimal-point-lost" not in about.rules:
        return None
    place, size_mm = _place(about), _size(about)
    middle = place.last_mm or (place.new_mm + place.limit_mm) / 2
    factor = min(POINTS, key=lambda factor: abs(size_mm * factor / middle - 1))
    what = "no size that it can have"
    return _factor(about, "decimal-point-lost", factor, what, "the point moved")


def _factor(about: About, name: str, factor: float, what: str, read_as: str) -> Question:
    place, size_mm = _place(about), _size(about)
    meant = size_mm * factor
    cells = {
        cell: round(float(about.row.cells[cell]) * factor, 4)  # type: ignore[arg-type]
        for cell in ("size_mm", "size_low_mm", "size_high_mm")
        if cell in about.row.cells
    }
    asks = (
        f"{_typed(about)} is {what} for {place.position} (new {_mm(about, place.new_mm)}, limit "
        f"{_mm(about, place.limit_mm)}). {_reading_of(read_as)} it is {_mm(about, meant)}. "
        "Which is it?"
    )
    changed = about.answer(name, f"{read_as.capitalize()}: {_mm(about, meant)}", **cells)
    return Question(name, asks, (changed, about.stays(name, f"As typed: {_typed(about)}")))


def _reading_of(read_as: str) -> str:
    return f"With {read_as}" if "point" in read_as else f"Read as {read_as}"


def radius_for_diameter(about: About) -> Question | None:
    """Half of what is expected, where a diameter is measured."""
    if "radius-for-diameter" not in about.rules:
        return None
    return _other_size(about, "radius-for-diameter", 2 * _size(about), "the diameter", "the radius")


def depth_for_remaining(about: About) -> Question | None:
    """What is gone instead of what is left."""
    if "depth-for-remaining" not in about.rules:
        return None
    left = _place(about).new_mm - _size(about)
    return _other_size(about, "depth-for-remaining", left, "what is left", "the depth that is gone")


def _other_size(about: About, name: str, meant: float, wanted: str, maybe: str) -> Question:
    asks = (
        f"{_typed(about)} may be {maybe}; the log wants {wanted}, and {_mm(about, meant)} would "
        "fit the last look. Which did you measure?"
    )
    label = f"{maybe.capitalize()}: write {_mm(about, meant)}"
    changed = about.answer(name, label, size_mm=round(meant, 4))
    return Question(name, asks, (changed, about.stays(name, f"{wanted.capitalize()}, as typed")))


def other_position(about: About) -> Question | None:
    """It does not fit this anode, and fits a neighbour on the same hull."""
    size_mm = about.row.cells.get("size_mm")
    hull_id, position = str(about.row.cells["hull_id"]), str(about.row.cells["position"])
    off = _off(about, position)
    if not isinstance(size_mm, float) or off is None or off < FAR_SD:
        return None
    others = [(_off(about, place.position), place) for place in about.desk.places(hull_id)]
    near = [
        (sd, place.position)
        for sd, place in others
        if sd is not None and sd < NEAR_SD and place.position != position
    ]
    if not near:
        return None
    fits = min(near)[1]
    asks = (
        f"{_typed(about)} does not fit {position} ({_expected(about, position)}), but {fits} "
        f"({_expected(about, fits)}). Which one did you measure?"
    )
    name = "other-position"
    return Question(name, asks, (about.answer(name, f"It was {fits}", position=fits),
                                 about.stays(name, f"It was {position}")))  # fmt: skip


def change_seen(about: About) -> Question | None:
    """As large as a new anode: was one fitted that nobody wrote down?"""
    name = next((n for n in ("change-not-recorded", "worn-then-ok") if n in about.rules), None)
    return None if name is None else _was_fitted(about, name)


def _was_fitted(about: About, name: str) -> Question:
    place = _place(about)
    seen = _typed(about) if "size_mm" in about.row.cells else "What you saw"
    asks = f"{seen} is larger than at the last look{_last(about, place)}. Was a new anode fitted?"
    cells = {
        "hull_id": about.row.cells["hull_id"],
        "position": place.position,
        "fitted_at": about.row.cells["read_at"],
    }
    now = about.answer(name, "Yes, now: write that too", Row("fittings", cells))
    earlier = about.stays(name, "Yes, earlier; when is not known")
    return Question(name, asks, (now, earlier, about.stays(name, "No, the same anode")))


def grown(about: About) -> Question | None:
    """Larger than before, though not as large as a new one."""
    if "grew" not in about.rules:
        return None
    asks = (
        f"{_typed(about)} is larger than at the last look{_last(about, _place(about))}, and metal "
        "does not grow. Crust, or another position? Clean it and measure again."
    )
    cleaned = about.answer("grew", "Cleaned, measured again: it is so", cleaned=True)
    return Question("grew", asks, (cleaned, about.stays("grew", "Not cleaned: keep it, in doubt")))


def unlike_forecast(about: About) -> Question | None:
    """Far from the size that the forecast expects by now."""
    place, name = _place(about), "unlike-forecast"
    off = _off(about, place.position)
    if off is None or off < FAR_SD or len(about.draft.rows) > 1 or _explained(about):
        return None
    grew = _size(about) > (place.last_mm or place.new_mm)
    if grew and place.new_mm - _size(about) < LEAST_FAR_MM:
        return _was_fitted(about, name)
    asks = (
        f"{_typed(about)} is far from what is expected of {place.position} by now "
        f"({_expected(about, place.position)}). Are position and size right?"
    )
    twice = about.answer(name, "Right, measured twice", note=_noted(about, "measured twice"))
    return Question(name, asks, (twice, about.stays(name)))


def _explained(about: About) -> bool:
    """Another question about the same size was answered: that it is so, or a new anode."""
    return bool(about.draft.asked & {"change-not-recorded", "grew", "too-fast", "above-new"})


def _noted(about: About, more: str) -> str:
    note = about.row.cells.get("note")
    return f"{note}; {more}" if note else more


def _off(about: About, position: str) -> float | None:
    """How far the size lies from what is expected there, in standard deviations."""
    size_mm = about.row.cells.get("size_mm")
    expected = about.desk.expected_of(str(about.row.cells["hull_id"]), position)
    if expected is None or not isinstance(size_mm, float):
        return None
    apart = abs(size_mm - expected[0])
    sd = apart / expected[1]
    return sd if apart > LEAST_FAR_MM else min(sd, FAR_SD - 0.1)


def _expected(about: About, position: str) -> str:
    expected = about.desk.expected_of(str(about.row.cells["hull_id"]), position)
    if expected is None:
        return "expected: not known"
    low, high = expected[0] - NEAR_SD * expected[1], expected[0] + NEAR_SD * expected[1]
    return f"expected {_mm(about, max(low, 0.0))} to {_mm(about, high)}"


def _place(about: About) -> Place:
    hull_id, position = str(about.row.cells["hull_id"]), about.row.cells["position"]
    matching = [place for place in about.desk.places(hull_id) if place.position == position]
    return matching[0]


def _size(about: About) -> float:
    """The size told, mm; of a range its middle."""
    cells = about.row.cells
    if "size_mm" in cells:
        return float(cells["size_mm"])  # type: ignore[arg-type]
    return (float(cells["size_low_mm"]) + float(cells["size_high_mm"])) / 2  # type: ignore[arg-type]


def _typed(about: About) -> str:
    """What was typed, in the unit in which it was typed; the size that an answer made of it."""
    if about.draft.asked & CONVERTED:
        return _mm(about, _size(about))
    typed = str(about.row.cells.get(AS_TYPED) or "")
    return typed.split(";")[0].removeprefix("Size ") or _mm(about, _size(about))


def _mm(about: About, size_mm: float) -> str:
    return formatting.size(size_mm, about.desk.logbook.settings.length_unit)


def _last(about: About, place: Place) -> str:
    if place.last_at is None or place.last_mm is None:
        return ""
    zone = about.desk.logbook.settings.timezone
    day = formatting.day(pd.Timestamp(place.last_at), zone)
    return f" ({_mm(about, place.last_mm)} on {day})"
