"""What a flushing policy asks for, and what it leaves as it was."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest

from corrosion.comparison.flushing import (
    DAILY,
    Policy,
)
from corrosion.comparison.flushing.policy import asked_to_flush, last_of_day, under
from tests.chain import links
from tests.fleets import usual_fleet

UTC = ZoneInfo("UTC")
AUCKLAND = ZoneInfo("Pacific/Auckland")


def twice_a_day():
    fleet = usual_fleet(1)
    for start in ("2031-05-01 08:00", "2031-05-01 20:00", "2031-05-02 09:00"):
        fleet.outing("H1", start)
    return links(fleet).exposure


def test_the_last_return_is_that_of_the_local_day():
    out = twice_a_day().outings
    assert last_of_day(out, UTC).tolist() == [False, True, True]
    # in Auckland (UTC+12) 10:00 and 22:00 of 1 May are late on the 1st and 10:00 on the 2nd
    assert last_of_day(out, AUCKLAND).tolist() == [True, False, True]


def test_a_policy_keeps_flushes_that_were_done_and_brings_late_ones_forward():
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00").outing("H1", "2031-05-02 09:00")
    fleet.flush("H1", "2031-05-01 11:15").flush("H1", "2031-05-03 06:00")
    exposure = links(fleet).exposure
    after = under(exposure.outings, DAILY, exposure.mooring_ids, UTC)
    late = after["flushed_h"] - after["stop_h"]
    assert late.tolist() == pytest.approx([0.25, 1.0])


def test_a_policy_asks_for_no_flush_in_fresh_water_or_at_other_moorings():
    exposure = links(
        usual_fleet(3)
        .outing("H1", "2031-05-01 09:00")
        .outing("H2", "2031-05-01 09:00")
        .outing("H3", "2031-05-01 09:00")
    ).exposure
    wanted = [
        asked_to_flush(exposure.outings, policy, exposure.mooring_ids, UTC).tolist()
        for policy in (DAILY, Policy(waters=("salt",)), Policy(mooring_ids=("B",)))
    ]
    assert wanted == [[True, True, False], [True, False, False], [False, True, False]]


def test_off_again_before_the_flush_is_due_leaves_things_as_they_were():
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00").outing("H1", "2031-05-01 11:30")
    exposure = links(fleet).exposure
    after = under(exposure.outings, Policy(every_return=True), exposure.mooring_ids, UTC)
    assert after["flushed_h"].notna().tolist() == [False, True]
