"""Facts about the hours that a hull spends in each operating state."""

from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from corrosion.exposure.drying import DRYING_GRID_H, drying_weights
from corrosion.exposure.hours_by_state import Exposure
from tests.chain import hour, links, spent
from tests.fleets import FleetLogs, usual_fleet

FIRST, LAST = "2031-05-01", "2031-05-11"
MAY = hour("2031-05-01")


def exposed(fleet: FleetLogs) -> Exposure:
    return links(fleet).exposure


def dried(wet_h: float, drying_h: float = 25.0) -> float:
    return drying_h * (1 - np.exp(-wet_h / drying_h))


def test_running_hours_are_the_engine_hours_spread_evenly_over_the_outing() -> None:
    exposure = exposed(usual_fleet(1).outing("H1", "2031-05-01 09:00", hours=4, share=0.5))
    assert spent(exposure, "H1", "running", FIRST, LAST) == pytest.approx(2.0)
    assert spent(
        exposure, "H1", "running", "2031-05-01 10:00", "2031-05-01 12:00"
    ) == pytest.approx(1)
    assert spent(exposure, "H1", "running", "2031-05-02", LAST) == 0.0


def test_running_hours_are_kept_by_the_water_that_was_run_in() -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00").outing(
        "H1", "2031-05-02 09:00", water="fresh"
    )  # fmt: skip
    exposure = exposed(fleet)
    assert spent(exposure, "H1", "running", FIRST, LAST, water="salt") == pytest.approx(1.8)
    assert spent(exposure, "H1", "running", FIRST, LAST, water="fresh") == pytest.approx(1.8)


def test_passages_dry_out_after_the_last_outing_of_a_hull_that_is_never_flushed() -> None:
    exposure = exposed(usual_fleet(1).outing("H1", "2031-05-01 09:00"))
    for knot in DRYING_GRID_H:
        wet = spent(exposure, "H1", "unflushed", FIRST, "2031-05-02 23:00", knot)
        assert wet == pytest.approx(dried(36.0, knot))


@pytest.mark.parametrize(
    ("flushed_at", "wet_h"),
    [
        ("2031-05-01 10:15", 240.0 - 11),  # in the middle of the outing: salt came in after it
        ("2031-05-01 10:45", 0.0),  # written within half an hour before the logged end
        ("2031-05-01 11:00", 0.0),
        ("2031-05-01 17:00", 6.0),
        ("2031-05-09 11:00", 192.0),
    ],
)
def test_a_flush_ends_the_salty_hours_of_the_outing_before_it(
    flushed_at: str, wet_h: float
) -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00").flush("H1", flushed_at)
    assert spent(exposed(fleet), "H1", "unflushed", FIRST, LAST) == pytest.approx(dried(wet_h))


def test_a_flush_that_could_not_be_done_ends_nothing() -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00")
    fleet.flush("H1", "2031-05-01 11:30", done="could-not")
    wet = spent(exposed(fleet), "H1", "unflushed", FIRST, LAST)
    assert wet == pytest.approx(dried(240.0 - 11))


def test_the_next_outing_stops_the_wet_clock_and_starts_it_anew() -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00").outing("H1", "2031-05-02 09:00")
    wet = spent(exposed(fleet), "H1", "unflushed", FIRST, "2031-05-03 11:00")
    assert wet == pytest.approx(dried(22.0) + dried(24.0))


def test_fresh_water_leaves_no_salty_hours() -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00", water="fresh")
    assert spent(exposed(fleet), "H1", "unflushed", FIRST, LAST) == 0.0


def test_a_lifted_hull_lies_in_no_water() -> None:
    fleet = FleetLogs().mooring("E").position("pencil").hull("H1").berth("H1", "E", "lifted")
    exposure = exposed(fleet.outing("H1", "2031-05-01 09:00"))
    assert spent(exposure, "H1", "afloat", FIRST, LAST) == 0.0
    assert spent(exposure, "H1", "running", FIRST, LAST) == pytest.approx(1.8)


def test_hours_out_are_not_hours_lying_afloat() -> None:
    exposure = exposed(usual_fleet(1).outing("H1", "2031-05-01 09:00", hours=5))
    assert spent(exposure, "H1", "afloat", FIRST, LAST) == pytest.approx(240 - 5)


def test_a_hull_that_moves_carries_its_past_along() -> None:
    fleet = usual_fleet(1).berth("H1", "L", since="2031-05-06")
    exposure = exposed(fleet.outing("H1", "2031-05-02 09:00").outing("H1", "2031-05-08 09:00"))
    for mooring, hours in (("E", 120.0), ("L", 120.0)):
        lying = spent(exposure, "H1", "afloat", FIRST, LAST, mooring_id=mooring)
        assert lying == pytest.approx(hours - 2.0)
        run = spent(exposure, "H1", "running", FIRST, LAST, mooring_id=mooring)
        assert run == pytest.approx(1.8)


def test_unknown_engine_hours_are_filled_with_the_hulls_own_usual_share() -> None:
    fleet = usual_fleet(2).outing("H2", "2031-05-01 09:00", share=0.9)
    for day in (1, 2, 3):
        fleet.outing("H1", f"2031-05-0{day} 09:00", share=0.5)
    fleet.outing("H1", "2031-05-04 09:00", hours=6, engine_hours=None)
    exposure = exposed(fleet)
    assert spent(exposure, "H1", "running", "2031-05-04", LAST) == pytest.approx(3.0)


def test_unknown_engine_hours_of_a_hull_that_never_told_take_the_fleets_share() -> None:
    fleet = usual_fleet(2).outing("H2", "2031-05-01 09:00", share=0.6)
    fleet.outing("H1", "2031-05-04 09:00", hours=5, engine_hours=None)
    assert spent(exposed(fleet), "H1", "running", FIRST, LAST) == pytest.approx(3.0)


def test_impossible_engine_hours_are_unknown_and_not_lost() -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-01 09:00", share=0.5)
    fleet.outing("H1", "2031-05-02 09:00", hours=4, engine_hours=400.0)
    assert spent(exposed(fleet), "H1", "running", FIRST, LAST) == pytest.approx(3.0)


def test_a_fortnight_without_any_flush_row_counts_as_unknown_and_not_as_unflushed() -> None:
    fleet = usual_fleet(1)
    for day in pd.date_range("2031-04-02", periods=10):
        fleet.outing("H1", f"{day:%Y-%m-%d} 09:00")
        fleet.flush("H1", f"{day:%Y-%m-%d} 11:00", done="yes" if day.day % 2 else "no")
    fleet.outing("H1", "2031-05-20 09:00")
    exposure = exposed(fleet)
    # half of the outings were flushed while the log was kept
    wet = spent(exposure, "H1", "unflushed", "2031-05-20", "2031-05-22 11:00")
    assert wet == pytest.approx(0.5 * dried(48.0))


def test_a_fleet_that_never_wrote_a_flush_is_taken_as_unflushed() -> None:
    exposure = exposed(usual_fleet(1).season("H1", "2031-04-02", 50))
    assert spent(
        exposure, "H1", "unflushed", "2031-05-02 11:00", "2031-05-03 09:00"
    ) == pytest.approx(dried(22.0))


def test_degree_hours_are_hours_times_degrees_above_15() -> None:
    fleet = usual_fleet(1).outing("H1", "2031-05-02 09:00")
    fleet.sample("E", "2031-04-01", temperature_c=20.0).sample("E", LAST, temperature_c=20.0)
    exposure = exposed(fleet)
    for state in ("running", "unflushed", "afloat"):
        plain, warm = (spent(exposure, "H1", state, FIRST, LAST, warm=w) for w in (False, True))
        assert warm == pytest.approx(5.0 * plain)


def test_warming_water_weighs_later_hours_more() -> None:
    fleet = usual_fleet(1)
    fleet.sample("E", FIRST, temperature_c=10.0).sample("E", LAST, temperature_c=20.0)
    exposure = exposed(fleet)
    # 1 C a day from 5 below to 5 above: the integral of t - 5 over days 0 to 8, in hours
    warm = spent(exposure, "H1", "afloat", FIRST, "2031-05-09", warm=True)
    assert warm == pytest.approx(24 * (8**2 / 2 - 5 * 8))


def test_water_never_sampled_reads_as_15_degrees() -> None:
    exposure = exposed(usual_fleet(1).outing("H1", "2031-05-02 09:00"))
    assert spent(exposure, "H1", "afloat", FIRST, LAST, warm=True) == 0.0


@pytest.mark.parametrize("drying_h", [7.0, 18.0, 28.0, 36.0, 55.0, 90.0])
def test_drying_between_the_knots_is_interpolated_to_a_hundredth(drying_h: float) -> None:
    wet_h = np.array([1.0, 8.0, 22.0, 70.0, 300.0])
    knots = -DRYING_GRID_H * np.expm1(-wet_h[:, None] / DRYING_GRID_H)
    interpolated = knots @ drying_weights(np.log(drying_h)).weight
    assert interpolated == pytest.approx([dried(t, drying_h) for t in wet_h], rel=0.01)


# ---- against integration minute by minute --------------------------------------------------


def _minutes(fleet: FleetLogs, drying_h: float, until: float) -> dict[str, float]:
    """Hours of H1 from FIRST on, added up a minute at a time, from the rows alone."""
    step, now = 1 / 30, MAY + 1 / 60
    outings = sorted(
        (hour(o["started"]), hour(o["ended"]), o["engine_hours"]) for o in fleet.rows["outings"]
    )
    flushes = [hour(f["flushed_at"]) for f in fleet.rows["flushes"]]
    total = {"running": 0.0, "unflushed": 0.0, "afloat": 0.0}
    while now < until:
        out = [o for o in outings if o[0] <= now < o[1]]
        done = [o for o in outings if o[1] <= now]
        if out:
            total["running"] += step * out[0][2] / (out[0][1] - out[0][0])
        else:
            total["afloat"] += step
            if done and not any(done[-1][1] - 0.5 <= f <= now for f in flushes):
                total["unflushed"] += step * np.exp(-(now - done[-1][1]) / drying_h)
        now += step
    return total


@st.composite
def weeks(draw: st.DrawFn) -> FleetLogs:
    """A hull afloat in salt water from May on, with outings that do not overlap, and flushes."""
    fleet = FleetLogs().mooring("E").position("pencil").hull("H1")
    fleet.berth("H1", "E", since=FIRST)
    gaps = draw(st.lists(st.tuples(st.integers(60, 1500), st.integers(45, 400)), max_size=6))
    at = 0
    for gap, length in gaps:
        start = pd.Timestamp(FIRST) + pd.Timedelta(minutes=at + gap)
        share = draw(st.sampled_from([0.0, 0.4, 0.9]))
        end = start + pd.Timedelta(minutes=length)
        fleet.outing("H1", str(start), hours=length / 60, share=share, ended=str(end))
        if draw(st.booleans()):
            after = draw(st.integers(0, 55))
            fleet.flush("H1", str(end + pd.Timedelta(minutes=after)))
        at += gap + length
    return fleet


RARELY = settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],  # an example is a folder of logs: shrinking is slow
)


@pytest.mark.slow
@RARELY
@given(weeks())
def test_hours_equal_integration_minute_by_minute(fleet: FleetLogs) -> None:
    exposure, until = exposed(fleet), MAY + 150.0
    by_hand = _minutes(fleet, 25.0, until)
    for state, hours in by_hand.items():
        assert spent(exposure, "H1", state, MAY, until) == pytest.approx(hours, abs=0.12)


@pytest.mark.slow
@RARELY
@given(weeks(), st.lists(st.floats(0.0, 600.0), min_size=3, max_size=8))
def test_hours_add_up_over_neighbouring_spans_are_never_negative_and_fill_the_calendar(
    fleet: FleetLogs, moments: list[float]
) -> None:
    exposure, at = exposed(fleet), MAY + np.sort(moments)
    out_h = sum((hour(o["ended"]) - hour(o["started"])) for o in fleet.rows["outings"])
    for state in ("running", "unflushed", "afloat"):
        parts = [spent(exposure, "H1", state, a, b) for a, b in pairwise(at)]
        assert min(parts) >= -1e-6
        assert sum(parts) == pytest.approx(spent(exposure, "H1", state, at[0], at[-1]), abs=1e-6)
    whole = spent(exposure, "H1", "afloat", MAY, MAY + 700.0)
    assert whole + out_h == pytest.approx(700.0, abs=1e-6)


@pytest.mark.slow
@RARELY
@given(weeks(), st.randoms(use_true_random=False))
def test_row_order_and_file_splits_change_nothing(fleet: FleetLogs, random: object) -> None:
    before = exposed(fleet)
    for rows in fleet.rows.values():
        random.shuffle(rows)  # type: ignore[attr-defined]
    after = exposed(fleet)
    for state in ("running", "unflushed", "afloat"):
        first, second = (spent(e, "H1", state, MAY, MAY + 700.0) for e in (before, after))
        assert first == second


def test_other_hulls_change_nothing() -> None:
    alone = usual_fleet(1).season("H1", "2031-05-01", 9)
    exposure, beside = (
        exposed(alone),
        exposed(usual_fleet(3).season("H1", "2031-05-01", 9).season("H2", "2031-04-20", 30)),
    )
    for state in ("running", "unflushed", "afloat"):
        assert spent(exposure, "H1", state, FIRST, LAST) == pytest.approx(
            spent(beside, "H1", state, FIRST, LAST), abs=1e-9
        )
