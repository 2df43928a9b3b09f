"""Every field has limits: beyond what is usual it is asked, beyond what can be it is refused."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.common import ClockReading
from corrosion.data_entry import Desk, desk_of, draft, next_question
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import usual_fleet

pytestmark = pytest.mark.slow

NOW = pd.Timestamp("2031-06-02 12:00", tz="UTC")
AT, SOON = ClockReading(NOW), ClockReading(NOW + pd.Timedelta(hours=3))
EARLIER = ClockReading(NOW - pd.Timedelta(hours=20))


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    fleet = usual_fleet(2).season("H1", "2031-05-01", 20)
    for day in range(1, 7):
        fleet.booking("H2", f"2031-05-{day:02d} 09:00", f"2031-05-{day:02d} 12:00", hire_value=90.0)
    return desk_of(check_logs(read_fleet(fleet.write(tmp_path), NOW)), None, NOW)


@pytest.mark.parametrize(
    ("kind", "filled", "name"),
    [
        ("flush", {"at": AT, "minutes": "700"}, "unusual-minutes"),
        ("flush", {"at": AT, "minutes": "0"}, "unusual-minutes"),
        ("reading", {"at": AT, "position": "plate", "size": "14.5", "bond_ohm": "20000"},
         "unusual-bond_ohm"),
        ("reading", {"at": AT, "position": "plate", "size": "14.5", "potential_mv": "-1.05"},
         "potential-unit"),
        ("reading", {"at": AT, "position": "plate", "size": "14.5", "potential_mv": "1050"},
         "potential-unit"),
        ("hire", {"starts": AT, "ends": SOON, "hire_value": "9000"}, "unusual-hire_value"),
        ("flush", {"at": ClockReading(NOW - pd.Timedelta(days=366)), "minutes": "6"},
         "another-day"),
        ("hire", {"starts": ClockReading(NOW + pd.Timedelta(days=730)),
                  "ends": ClockReading(NOW + pd.Timedelta(days=731))}, "another-day"),
    ],
)  # fmt: skip
def test_a_value_beyond_what_is_usual_is_asked_about_once(
    desk: Desk, kind: str, filled: dict[str, object], name: str
) -> None:
    made = draft(kind, {"hull_id": "H1", **filled}, desk)
    assert not made.wrong
    question = next_question(made, desk)
    assert question is not None
    assert question.name == name
    again = next_question(question.answers[-1].draft, desk)
    assert again is None or again.name != name


def test_volts_become_millivolts_only_by_an_answer(desk: Desk) -> None:
    filled = {"hull_id": "H1", "position": "plate", "at": AT, "size": "14.5"}
    question = next_question(draft("reading", {**filled, "potential_mv": "-1,05"}, desk), desk)
    assert question is not None
    assert question.answers[0].label == "In volts: -1050 mV"
    assert question.answers[0].draft.main.cells["potential_mv"] == -1050.0


@pytest.mark.parametrize(
    ("kind", "filled"),
    [
        ("flush", {"at": AT, "minutes": "7"}),
        ("hire", {"starts": AT, "ends": SOON, "hire_value": "180", "engine_hours": "2"}),
        ("outing", {"started": EARLIER, "ended": AT, "engine_hours": "5"}),
    ],
)
def test_a_usual_value_is_not_asked_about(desk: Desk, kind: str, filled: dict[str, object]) -> None:
    assert next_question(draft(kind, {"hull_id": "H2", **filled}, desk), desk) is None


@pytest.mark.parametrize(
    ("kind", "filled", "wrong"),
    [
        ("flush", {"at": AT, "minutes": "721"}, "Minutes"),
        ("flush", {"at": AT, "minutes": "-1"}, "Minutes"),
        ("outing", {"started": EARLIER, "ended": AT, "engine_hours": "800"}, "Engine hours"),
        ("reading", {"at": AT, "position": "plate", "size": "1450"}, "longer than any anode"),
        ("reading", {"at": AT, "position": "plate", "size": "14", "potential_mv": "-9999"},
         "Potential"),
        ("engine", {"at": AT, "note": "x" * 501}, "501 letters"),
        ("flush", {"at": SOON, "minutes": "7"}, "still to come"),
    ],
)  # fmt: skip
def test_a_value_that_cannot_be_is_refused(
    desk: Desk, kind: str, filled: dict[str, object], wrong: str
) -> None:
    made = draft(kind, {"hull_id": "H1", **filled}, desk)
    assert any(wrong in sentence for sentence in made.wrong)
