"""What flushing itself took: done, not done, could not be, and minutes that nobody wrote down."""

import math
from pathlib import Path

import pandas as pd
import pytest

from corrosion.forecast.appraisal import appraise
from corrosion.workshop.flushing_done import FlushingDone, add_up_flushing
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow

FIRST, LAST = pd.Timestamp("2031-05-01", tz="UTC"), pd.Timestamp("2031-06-01", tz="UTC")


def found(folder: Path, **settings: object) -> FlushingDone:
    """Four outings: flushed 12 min, flushed without minutes, not flushed, could not be."""
    logs = FleetLogs().setting(timezone="UTC", **settings).mooring("M1").position("pencil")
    logs.hull("H1").berth("H1", "M1").fitting("H1", "pencil", "2031-04-01 08:00")
    for day in (2, 3, 4, 5):
        logs.outing("H1", f"2031-05-{day:02d} 09:00", hours=2.0)
    logs.flush("H1", "2031-04-20 12:00", minutes=60.0)  # before the stretch
    logs.flush("H1", "2031-05-02 12:00", minutes=12.0)
    logs.flush("H1", "2031-05-03 12:00")
    logs.flush("H1", "2031-05-04 12:00", done="no")
    logs.flush("H1", "2031-05-05 12:00", done="could-not")
    return add_up_flushing(appraise(logs.write(folder), "2031-06-01"), FIRST, LAST)


def test_flushes_done_are_added_up_by_their_minutes_or_the_fleets_own(tmp_path: Path) -> None:
    done = found(tmp_path, wage_per_hour=30.0, flush_minutes=6.0)
    # 12 min and 6 min are 0.3 h, at 30 an hour 9
    assert (done.flushes, done.taken_minutes) == (2, 1)
    assert done.hours == pytest.approx(0.3)
    assert done.amount == pytest.approx(9.0)


def test_without_a_wage_the_hours_stand_and_the_amount_is_not_known(tmp_path: Path) -> None:
    done = found(tmp_path)
    assert done.hours > 0
    assert math.isnan(done.amount)
