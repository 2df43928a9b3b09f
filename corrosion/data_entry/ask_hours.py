"""Questions about hours: longer than the outing, a meter that ran back or stands apart."""

from __future__ import annotations

from typing import Any

import pandas as pd

from corrosion.data_entry.drafts import Row
from corrosion.data_entry.questions import About, Answer, Question

SLACK = 1.05
HOUR = pd.Timedelta(hours=1)


def hours_over_outing(about: About) -> Question | None:
    """More engine hours than the outing lasted."""
    name = "engine-hours-over-outing"
    if name not in about.rules:
        return None
    hours_h, lasted_h = _number(about, "engine_hours"), _lasted_h(about, "started", "ended")
    asks = f"{hours_h:g} engine hours do not fit into an outing of {lasted_h:.1f} h. What is it?"
    answers = [*_point_lost(about, name, lasted_h), *_meter_written(about, name)]
    answers.append(about.answer(name, "Hours not known: leave them out", engine_hours=None))
    return Question(name, asks, (*answers, about.stays(name)))


def _point_lost(about: About, name: str, lasted_h: float) -> list[Answer]:
    tenth = _number(about, "engine_hours") / 10
    if tenth > SLACK * lasted_h:
        return []
    return [about.answer(name, f"The point was lost: {tenth:g} h", engine_hours=tenth)]


def _meter_written(about: About, name: str) -> list[Answer]:
    """The reading of the hour meter stands where the hours of the outing belong."""
    hours_h = _number(about, "engine_hours")
    before_h = about.desk.meter(str(about.row.cells["hull_id"]))
    if before_h is None or hours_h < before_h or "meter_hours" in about.row.cells:
        return []
    ran_h = round(hours_h - before_h, 2)
    if ran_h > SLACK * _lasted_h(about, "started", "ended"):
        return []
    label = f"It is the hour meter: {ran_h:g} h were run"
    return [about.answer(name, label, engine_hours=ran_h, meter_hours=hours_h)]


def meter_ran_back(about: About) -> Question | None:
    """The meter shows less than after the last outing."""
    name = "meter-went-back"
    if name not in about.rules:
        return None
    meter_h, before_h = _number(about, "meter_hours"), about.desk.meter(_hull(about))
    asks = (
        f"The hour meter shows {meter_h:g} h, and showed {before_h or 0:g} h before. "
        "What happened to it?"
    )
    events = {"replaced": "Replaced", "zeroed": "Set to zero", "rolled-over": "Rolled over"}
    answers = [about.answer(name, said, _event(about, event)) for event, said in events.items()]
    return Question(name, asks, (*answers, about.stays(name, "Nothing: it is right as typed")))


def meter_apart(about: About) -> Question | None:
    """The meter moved by something else than the hours typed."""
    name = "meter-against-hours"
    before_h = about.desk.meter(_hull(about))
    if name not in about.rules or before_h is None:
        return None
    ran_h = round(_number(about, "meter_hours") - before_h, 2)
    hours_h = _number(about, "engine_hours")
    asks = (
        f"The hour meter moved by {ran_h:g} h since the last outing on record, but {hours_h:g} h "
        "are typed. Which is right, or is an outing in between not written down?"
    )
    answers = [about.stays(name, f"{hours_h:g} h, an outing is missing or the meter is wrong")]
    if 0 < ran_h <= SLACK * _lasted_h(about, "started", "ended"):
        answers.insert(0, about.answer(name, f"The meter: {ran_h:g} h", engine_hours=ran_h))
    return Question(name, asks, tuple(answers))


def hire_hours(about: About) -> Question | None:
    """More engine hours are expected than the hire lasts."""
    name = "engine-hours-over-hire"
    if name not in about.rules:
        return None
    lasted_h = _lasted_h(about, "starts", "ends")
    hours_h = _number(about, "engine_hours")
    asks = f"{hours_h:g} engine hours do not fit into a hire of {lasted_h:.1f} h."
    left = about.answer(name, "Leave them out: the hull's usual share", engine_hours=None)
    return Question(name, asks, (left, about.stays(name)))


def _event(about: About, event: str) -> Row:
    cells = {
        "hull_id": _hull(about),
        "changed_at": about.row.cells["started"],
        "event": event,
        "meter_before_hours": about.desk.meter(_hull(about)),
    }
    return Row("meters", {name: cell for name, cell in cells.items() if cell is not None})


def _hull(about: About) -> str:
    return str(about.row.cells["hull_id"])


def _number(about: About, name: str) -> float:
    cell: Any = about.row.cells[name]
    return float(cell)


def _lasted_h(about: About, first: str, last: str) -> float:
    begun, over = about.row.cells[first], about.row.cells[last]
    if not (isinstance(begun, pd.Timestamp) and isinstance(over, pd.Timestamp)):
        return 0.0
    return float((over - begun) / HOUR)
