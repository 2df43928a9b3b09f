"""Which return was rinsed when, and how far the flush log can be believed."""

from __future__ import annotations

import numpy as np
import pytest

from tests.chain import links
from tests.fleets import FleetLogs, usual_fleet


def salty() -> FleetLogs:
    """One hull in salt water, out on three mornings of May."""
    fleet = usual_fleet(1)
    for day in (1, 2, 3):
        fleet.outing("H1", f"2031-05-0{day} 09:00")
    return fleet


def rinses(fleet: FleetLogs):
    return links(fleet).exposure.outings


def test_a_return_is_flushed_refused_or_blank_as_the_log_says():
    fleet = salty().flush("H1", "2031-05-01 11:30", minutes=8.0)
    fleet.flush("H1", "2031-05-02 12:00", done="could-not")
    out = rinses(fleet)
    assert list(out["written"]) == ["yes", "could-not", ""]
    assert out["flushed_h"].notna().tolist() == [True, False, False]
    assert out["minutes"].iloc[0] == 8.0


def test_a_flush_on_the_next_morning_still_ends_the_wet_hours():
    out = rinses(salty().flush("H1", "2031-05-02 06:00"))
    assert out["flushed_h"].iloc[0] - out["stop_h"].iloc[0] == pytest.approx(19.0)


def test_a_flush_after_the_next_start_is_not_this_returns_flush():
    out = rinses(salty().flush("H1", "2031-05-02 11:30"))
    assert list(out["written"]) == ["", "yes", ""]


def test_no_row_of_any_kind_for_a_fortnight_is_no_log_and_not_no():
    fleet = usual_fleet(4)  # H1 and H4 in salt; only H1 and H4's mooring counts
    for hull in ("H1", "H4"):
        fleet.outing(hull, "2031-04-05 09:00").outing(hull, "2031-05-20 09:00")
    fleet.flush("H1", "2031-04-05 11:30").flush("H4", "2031-04-05 12:00", done="no")
    out = rinses(fleet)
    assert out["kept"].tolist() == [True, False, True, False]
    assert out["wet_share"].tolist() == pytest.approx([1.0, 0.5, 1.0, 0.5])


def test_a_tick_along_with_four_other_hulls_is_known_as_one_though_it_came_before_the_return():
    fleet = usual_fleet(15)
    for number in range(1, 16, 3):  # the five hulls in salt water
        fleet.outing(f"H{number}", "2031-05-01 16:30", hours=2.6)
        fleet.flush(f"H{number}", "2031-05-01 18:00")
    out = rinses(fleet)
    assert out["in_bulk"].all()
    assert not np.isfinite(out["flushed_h"]).any()  # an hour before the return it rinsed nothing
