"""What a plan stands on: days of hire, lost hire, stock, due dates, the worth of waiting."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.records.settings import Bay, Settings
from corrosion.workshop.plan.away import booked_days, mooring_by_day, not_in_fleet
from corrosion.workshop.plan.cases import choices
from corrosion.workshop.plan.hire import lost_hire
from corrosion.workshop.plan.horizon import Horizon, lay_out_days
from corrosion.workshop.plan.packages import weigh
from corrosion.workshop.plan.prices import RULE_FACTOR
from corrosion.workshop.plan.stock import count_stock
from tests.plan_cases import Anode, Work, day

LISBON = ZoneInfo("Europe/Lisbon")
HULLS = pd.Index(["H1", "H2"])


def horizon_at(on: str = "2031-03-24", weeks: int = 2, zone: ZoneInfo = LISBON) -> Horizon:
    return lay_out_days(pd.Timestamp(on, tz="UTC"), zone, frozenset(range(5)), None, weeks)


def book(*rows: tuple[str, str, str], value: float = 100.0) -> pd.DataFrame:
    hull, starts, ends = zip(*rows, strict=True)
    return pd.DataFrame(
        {
            "hull_id": hull,
            "starts": pd.to_datetime(list(starts), utc=True),
            "ends": pd.to_datetime(list(ends), utc=True),
            "hire_value": value,
        }
    )


moments = st.integers(-3 * 96, 16 * 96)  # quarters of an hour from the horizon's first midnight


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(moments, st.integers(1, 300)), min_size=1, max_size=4),
       st.sampled_from([(0.0, 24.0), (8.0, 16.5), (6.0, 20.0)]))  # fmt: skip
def test_a_hull_is_booked_on_just_the_days_whose_working_hours_a_hire_meets(
    hires: list[tuple[int, int]], window: tuple[float, float]
) -> None:
    # clocks go forward on Sunday 2031-03-30 in the middle of this horizon
    horizon = horizon_at()
    first = pd.Timestamp(horizon.days[0])
    local = [(first + pd.Timedelta(minutes=15 * b), first + pd.Timedelta(minutes=15 * (b + n)))
             for b, n in hires]  # fmt: skip
    rows = [
        ("H1", *(m.tz_localize(LISBON, nonexistent="shift_forward", ambiguous=True)
                 .tz_convert("UTC").isoformat() for m in pair))
        for pair in local
    ]  # fmt: skip
    booked = booked_days(book(*rows), HULLS, horizon, [window, window])
    expected = [
        any(
            starts < midnight + pd.Timedelta(hours=window[1])
            and ends > midnight + pd.Timedelta(hours=window[0])
            for starts, ends in (
                (pd.Timestamp(r[1]).tz_convert(LISBON).tz_localize(None),
                 pd.Timestamp(r[2]).tz_convert(LISBON).tz_localize(None)) for r in rows)
        )
        for midnight in map(pd.Timestamp, horizon.days)
    ]  # fmt: skip
    assert booked[0].tolist() == expected
    assert not booked[1].any()


def test_a_hire_that_ends_as_the_bay_opens_leaves_the_day_free() -> None:
    booked = book(("H1", "2031-03-24 05:00", "2031-03-24 08:00"))
    assert not booked_days(booked, HULLS, horizon_at(), [(8.0, 16.0)] * 2).any()
    assert booked_days(booked, HULLS, horizon_at(), [(7.5, 16.0)] * 2).sum() == 1


def test_the_horizon_has_all_days_from_now_on_and_noon_is_told_by_the_fleets_clock() -> None:
    horizon = horizon_at("2031-03-26 11:00", weeks=1)
    assert horizon.week == date(2031, 3, 24)
    assert horizon.days == tuple(date(2031, 3, day) for day in range(26, 31))
    # from 11:00 on Wednesday to noon on Sunday, an hour of which the clocks leave out
    assert horizon.ahead[0] == pytest.approx(1 / 24)
    assert horizon.ahead[-1] == pytest.approx(4.0)


def test_after_noon_the_day_is_no_longer_planned_and_after_friday_the_next_week_is_asked() -> None:
    assert horizon_at("2031-03-26 13:00").days[0] == date(2031, 3, 27)
    assert horizon_at("2031-03-28 13:00").week == date(2031, 3, 31)


def test_a_hull_lies_where_its_last_berth_says_and_leaves_on_its_last_day() -> None:
    horizon = horizon_at(weeks=1)
    berths = pd.DataFrame(
        {
            "hull_id": ["H1", "H1"],
            "mooring_id": ["E", "L"],
            "since": pd.to_datetime(["2031-01-01", "2031-03-27"], utc=True),
        }
    )
    assert mooring_by_day(berths, HULLS, horizon)[0].tolist() == ["E"] * 3 + ["L"] * 4
    hulls = pd.DataFrame(
        {"hull_id": HULLS, "retired": pd.to_datetime(["2031-03-26", None], utc=True)}
    )
    assert not_in_fleet(hulls, HULLS, horizon).sum(axis=1).tolist() == [5, 0]


def test_lost_hire_is_what_the_weekday_usually_brings_less_what_is_booked() -> None:
    horizon = horizon_at(weeks=1)
    past = pd.date_range("2031-01-01", "2031-03-23", freq="D")
    days = [(hull, f"{d:%Y-%m-%d} 09:00", f"{d:%Y-%m-%d} 11:00")
            for d in past if d.weekday() == 2 for hull in HULLS]  # fmt: skip
    days.append(("H1", "2031-03-26 09:00", "2031-03-26 11:00"))
    none = pd.DataFrame({"hull_id": [], "started": pd.to_datetime([], utc=True)})
    mooring = np.array(["E", "E"], dtype=object)
    lost = lost_hire(book(*days), none, HULLS, mooring, horizon)
    # each Wednesday brought 100 a hull; one of the two is booked, so the other misses its 100
    assert lost.by_day[1].tolist() == pytest.approx([0, 0, 100, 0, 0, 0, 0])
    assert lost.usual[0].tolist() == pytest.approx([0, 0, 100, 0, 0, 0, 0])


def test_hire_is_learned_on_eight_weeks_of_the_calendar_over_a_clock_change() -> None:
    # clocks went forward on Sunday 2031-03-30: eight weeks before Monday is a Monday, not Sunday
    horizon = lay_out_days(
        pd.Timestamp("2031-03-31", tz=LISBON).tz_convert("UTC"),
        LISBON,
        frozenset(range(5)),
        None,
        1,
    )
    hires = [("H1", "2031-02-02 23:30", "2031-02-03 01:00")]
    hires += [("H1", f"{d:%Y-%m-%d} 09:00", f"{d:%Y-%m-%d} 11:00")
              for d in pd.date_range("2031-02-05", "2031-03-30", freq="7D")]  # fmt: skip
    none = pd.DataFrame({"hull_id": [], "started": pd.to_datetime([], utc=True)})
    lost = lost_hire(book(*hires), none, HULLS, np.array(["E", "L"], dtype=object), horizon)
    assert lost.usual[0, 6] == 0.0
    assert lost.usual[0, 2] > 0.0


def test_without_hire_values_nothing_is_counted_and_that_is_said() -> None:
    booked = book(("H1", "2031-03-01 09:00", "2031-03-01 11:00"), value=np.nan)
    none = pd.DataFrame({"hull_id": [], "started": pd.to_datetime([], utc=True)})
    lost = lost_hire(booked, none, HULLS, np.array(["E", "E"], dtype=object), horizon_at())
    assert not lost.by_day.any()
    assert "hire_value" in lost.assumed[0]


def test_stock_is_what_the_settings_say_and_what_came_and_went() -> None:
    moves = pd.DataFrame(
        {
            "part_number": ["P1", "P1", "P3", "P4"],
            "mooring_id": [None, "E", "E", None],
            "pieces": [5.0, 2.0, 1.0, -3.0],
        }
    )
    fleet = Settings(stock={"P1": 2, "P2": {"E": 1, "L": 4}}, lead={"P1": 3.0}, lead_days=10.0)
    stock = count_stock(fleet, moves, horizon_at())
    assert stock.within_reach("P1", "E") == 9
    assert stock.within_reach("P1", "L") == 7
    assert [stock.within_reach("P2", at) for at in "EL"] == [1, 4]
    assert stock.missing("P3", "L", date(2031, 3, 25))
    assert stock.within_reach("P4", "E") == 0
    assert stock.arrives["P1"] == date(2031, 3, 27)
    assert not stock.missing("P4", "E", date(2031, 4, 3))
    assert not stock.missing("P9", "E", date(2031, 3, 25))


def one_case(*anodes: Anode, late_days: float = 30.0) -> Work:
    return Work({"H1": anodes}, Settings(bays=(Bay("E"),), late_days=late_days))


def test_days_past_the_limit_add_up_the_chance_of_every_day() -> None:
    ahead = one_case(Anode(days_left=10.0, worn=0.5, sd=1e-3)).prospects()
    # expected at its limit on day 10, and known nearly for sure: ten days past it by day 20
    assert ahead.days_past(0, np.array([5.0, 20.0])).tolist() == pytest.approx([0, 10], abs=1.0)
    assert float(ahead.when_worn(0, 1.0)) == pytest.approx(10.0, abs=0.01)


def test_a_new_anode_lasts_as_long_as_the_wear_to_come_lets_it() -> None:
    ahead = one_case(Anode(days_left=10.0, worn=0.5, sd=1e-3)).prospects()
    middle = ahead.new_lasts_until(0, np.array([0.0, 30.0]))
    assert middle.tolist() == pytest.approx([20.0, 50.0], abs=0.01)
    assert (ahead.new_lasts_until(0, np.array([0.0, 30.0]), 0.05) < middle).all()
    assert ahead.new_chance(0, 0.0, 1.0) < 1e-6 < ahead.new_chance(0, 0.0, 21.0)


def test_waiting_pays_until_the_risk_outweighs_it() -> None:
    work = one_case(Anode(days_left=40.0, worn=0.5, sd=0.02))
    setting = work.setting()
    case = work.options(setting)[0].case
    times = np.arange(0.0, 60.0)
    cost = weigh(case, setting.ahead, times, np.zeros(60), np.array([[True]])).cost[:, 0]
    best = int(cost.argmin())
    assert 20 < best < 40
    assert (np.diff(cost[: best + 1]) < 0).all()
    assert (np.diff(cost[best:]) > 0).all()


def test_dearer_lateness_brings_the_due_date_forward() -> None:
    works = [one_case(Anode(40.0, late_cost=late)) for late in (100.0, 3000.0, 30000.0)]
    due_days = [work.options(work.setting())[0].case.due[0] for work in works]
    assert due_days == sorted(due_days, reverse=True)
    assert due_days[0] > due_days[2]


def test_an_open_neighbour_that_is_due_soon_goes_with_it_and_one_that_is_not_stays() -> None:
    lead = Anode(days_left=1.0, worn=0.98)
    for days, with_it in ((6.0, True), (400.0, False)):
        worn = 0.95 if with_it else 0.05
        near = Anode(days_left=days, worn=worn, position="other")
        (option,) = one_case(lead, near).options(one_case(lead, near).setting())
        assert option.best.replace[option.best.choice[0]].tolist() == [True, with_it]


def test_many_anodes_are_weighed_by_who_is_due_first() -> None:
    anodes = [Anode(days_left=10.0 * n, worn=0.5, position=f"p{n}", group=f"g{n % 3}")
              for n in range(1, 11)]  # fmt: skip
    work = one_case(*anodes)
    (option,) = work.options(work.setting())
    chosen = choices(option.case)
    assert len(chosen) < 25
    assert chosen.any(axis=0).all()
    assert np.isfinite(option.cost).all()


def test_standing_past_the_pull_by_has_the_stated_price() -> None:
    work = one_case(Anode(days_left=-5.0 + 5.1, worn=0.99, sd=1e-3, late_cost=900.0))
    (option,) = work.options(work.setting())
    a_day = (option.penalty[6] - option.penalty[5]) / (option.times[6] - option.times[5])
    assert a_day == pytest.approx(RULE_FACTOR * 900.0 / 30.0, rel=0.01)


def test_days_of_the_plan_are_counted_from_monday() -> None:
    assert day(2) == date(2031, 6, 4)
