"""A desk at a season of three hulls, and what is typed at it."""

import pandas as pd

from corrosion.common import ClockReading
from corrosion.data_entry import (
    Desk,
    Draft,
    Question,
    draft,
    next_question,
)
from tests.fleets import FleetLogs, usual_fleet

NOW = pd.Timestamp("2031-06-01 12:00", tz="UTC")


def season_fleet() -> FleetLogs:
    """Three hulls over a season, each pencil looked at four times."""
    fleet = usual_fleet(3).setting(timezone="Europe/Lisbon")
    for number, lost_mm in ((1, 2.0), (2, 1.2), (3, 0.1)):
        hull_id = f"H{number}"
        fleet.season(hull_id, "2031-04-02", 58)
        for day, share in ((10, 0.15), (25, 0.4), (40, 0.7), (57, 1.0)):
            at = f"2031-{4 + day // 30:02d}-{1 + day % 30:02d} 07:00"
            fleet.reading(hull_id, "pencil", at, round(9.0 - share * lost_mm, 2))
            fleet.reading(hull_id, "plate", at, round(15.0 - share * lost_mm / 2, 2))
    return fleet


def reading(desk: Desk, text: str, **more: object) -> Draft:
    filled = {"hull_id": "H1", "position": "pencil", "at": ClockReading(NOW), "size": text}
    return draft("reading", filled | more, desk)


def asked(made: Draft, desk: Desk) -> Question:
    assert not made.wrong
    question = next_question(made, desk)
    assert question is not None
    return question


def after(question: Question, label: str) -> Draft:
    """The draft that the answer beginning so makes."""
    return next(a.draft for a in question.answers if a.label.startswith(label))
