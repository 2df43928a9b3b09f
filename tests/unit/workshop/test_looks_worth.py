"""What a look is worth, beside a simulation that draws whole courses and reads them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.forecast.usage_forecast import day_grid
from corrosion.workshop.looks.courses import Courses, lay_out_courses
from corrosion.workshop.looks.worth import Stakes, best_looks, replace_blindly, weigh_looks

GRID = day_grid(7)[:80]
DRAWS = 4000


def courses(
    worn: float = 0.4, life_days: float = 90.0, pace_sd: float = 0.15, walk_sd: float = 0.05,
    now_sd: float = 0.03, error: float = 0.04, since_look: float = 0.2,
) -> Courses:  # fmt: skip
    """One anode: its pace strays by `pace_sd`, lumps by `walk_sd` a life, read with `error`."""
    mean = worn + GRID / life_days
    reach = since_look + GRID / life_days
    sd = np.sqrt(now_sd**2 + walk_sd**2 * reach + pace_sd**2 * reach**2)
    return lay_out_courses(
        GRID, mean[None, :], sd[None, :], np.array([since_look]), np.array([error])
    )


def stakes(late: float = 20.0, waits: float = 1.0, lead_days: float = 7.0) -> Stakes:
    return Stakes(np.array([late]), np.array([waits]), 0.10, lead_days)


def drawn(law: Courses, rng: np.random.Generator) -> np.ndarray:
    """Draw whole courses from the law that the courses state, shape (draws, d)."""
    steps = np.diff(law.reach[0], prepend=0.0)
    walk = rng.normal(0, np.sqrt(law.walk[0] * np.maximum(steps, 0.0)), (DRAWS, GRID.size))
    pace = rng.normal(0, np.sqrt(law.pace[0]), (DRAWS, 1))
    state = rng.normal(0, np.sqrt(law.steady[0]), (DRAWS, 1))
    return law.worn[0] + state + np.cumsum(walk, axis=1) + pace * law.reach[0]


def simulated(law: Courses, at_stake: Stakes, day: float, seed: int) -> tuple[float, float]:
    """Return the mean worth of a look by drawing courses and readings, and its standard error.

    Whoever looks knows the law and conditions on the reading exactly; the cost is what the drawn
    course then brings, day by day, not what was expected of it.
    """
    rng = np.random.default_rng(seed)
    at = int(np.searchsorted(GRID, day))
    true = drawn(law, rng)
    read = true[:, at] + rng.normal(0, law.error[0], DRAWS)
    late = np.concatenate(
        [np.zeros((DRAWS, 1)), np.cumsum(np.diff(GRID) * (true[:, 1:] >= 1.0), axis=1)], axis=1
    )
    blind = int(np.searchsorted(GRID, replace_blindly(law, at_stake).day[0]))
    without = at_stake.late[0] * late[:, blind] - at_stake.waits[0] * GRID[blind]
    cov = (
        law.steady[0] + law.walk[0] * np.minimum(law.reach[0], law.reach[0, at])
        + law.pace[0] * law.reach[0] * law.reach[0, at]
    )  # fmt: skip
    var = law.steady[0] + law.walk[0] * law.reach[0] + law.pace[0] * law.reach[0] ** 2
    gain = cov / (var[at] + law.error[0] ** 2)
    left = np.sqrt(np.maximum(var - gain * cov, 1e-8))
    mean = law.worn[0] + (read - law.worn[0, at])[:, None] * gain
    from scipy.special import ndtr

    chance = np.maximum.accumulate(ndtr((mean - 1.0) / left)[:, at:], axis=1)
    first = int(np.searchsorted(GRID, GRID[at] + at_stake.lead_days))
    steps = np.diff(GRID[at:]) * (chance[:, 1:] + chance[:, :-1]) / 2
    past = np.concatenate([np.zeros((DRAWS, 1)), np.cumsum(steps, axis=1)], axis=1)
    expected = at_stake.late[0] * past[:, first - at :] - at_stake.waits[0] * GRID[first:]
    allowed = chance[:, first - at :] <= at_stake.tolerated
    allowed[:, 0] = True
    chosen = first + np.where(allowed, expected, np.inf).argmin(axis=1)
    rows = np.arange(DRAWS)
    with_look = at_stake.late[0] * late[rows, chosen] - at_stake.waits[0] * GRID[chosen]
    saved = without - with_look
    return float(saved.mean()), float(saved.std() / np.sqrt(DRAWS))


@pytest.mark.parametrize("day", [0.0, 14.0, 28.0, 40.0])
@pytest.mark.parametrize(
    ("law", "at_stake"),
    [
        ({}, {}),
        ({"pace_sd": 0.3}, {}),
        ({"walk_sd": 0.2, "pace_sd": 0.05}, {}),
        ({"now_sd": 0.2}, {"late": 170.0, "waits": 0.7}),
        ({"error": 0.15, "pace_sd": 0.25}, {"late": 60.0}),
    ],
)
def test_the_worth_of_a_look_is_that_of_a_simulation_which_reads_whole_courses(
    law: dict[str, float], at_stake: dict[str, float], day: float
) -> None:
    course, held = courses(**law), stakes(**at_stake)
    worth = float(weigh_looks(course, held, np.array([day])).worth[0, 0])
    mean, error = simulated(course, held, day, seed=int(day) + 5)
    # nine readings stand for all; the days of the grid are steps
    assert worth == pytest.approx(mean, abs=3.5 * error + 0.5)


def test_the_parts_of_the_spread_are_found_again() -> None:
    course = courses(pace_sd=0.2, walk_sd=0.1, now_sd=0.05)
    assert course.pace[0] == pytest.approx(0.2**2, rel=1e-3)
    assert course.walk[0] == pytest.approx(0.1**2, rel=1e-3)
    assert course.steady[0] == pytest.approx(0.05**2, rel=1e-3)


def test_a_reading_tells_of_the_pace_as_well_as_of_the_day_it_was_taken() -> None:
    course = courses(pace_sd=0.3, walk_sd=0.0, now_sd=0.0, since_look=0.3)
    moves, left = course.taught(0)
    month = int(np.searchsorted(GRID, 30.0))
    assert moves[0, month] > 1.5 * moves[0, 0]
    assert left[0, month] < 0.6 * course.sd[0, month]


def test_lumpy_wear_is_forgotten_by_a_reading_that_is_old() -> None:
    course = courses(pace_sd=0.0, walk_sd=0.3, now_sd=0.0, error=0.01, since_look=0.05)
    _, left = course.taught(0)
    assert left[0, 60] > 0.9 * course.sd[0, 60]


def test_an_anode_that_is_known_well_is_worth_no_look() -> None:
    sure = courses(pace_sd=0.01, walk_sd=0.01, now_sd=0.005, error=0.04)
    _, gain = best_looks(weigh_looks(sure, stakes(), GRID[:40:4]), np.array([5.0]))
    assert gain[0] < 0


def test_a_look_is_worth_most_late_in_a_life_not_at_its_start() -> None:
    fresh = courses(worn=0.0, since_look=0.0, pace_sd=0.25, now_sd=0.01, life_days=75.0)
    days = GRID[:60:3]
    worth = weigh_looks(fresh, stakes(), days)
    best, gain = best_looks(worth, np.array([5.0]))
    assert gain[0] > 0
    assert 25.0 < days[best[0]] < 60.0
    assert worth.worth[0, 0] < worth.worth[0, best[0]]


def test_the_tolerated_risk_holds_whatever_waiting_brings() -> None:
    law = courses(pace_sd=0.2)
    day = replace_blindly(law, stakes(late=0.1, waits=50.0)).day[0]
    at = int(np.searchsorted(GRID, day))
    from scipy.special import ndtr

    assert ndtr((law.worn[0, at] - 1) / law.sd[0, at]) <= 0.10


@settings(max_examples=30, deadline=None)
@given(
    st.floats(0.0, 0.9), st.floats(0.05, 0.3), st.floats(0.0, 0.2), st.floats(0.01, 0.2),
    st.floats(1.0, 200.0), st.floats(0.2, 3.0),
)  # fmt: skip
def test_a_look_today_without_delay_never_costs_anything_by_itself(
    worn: float, pace_sd: float, walk_sd: float, error: float, late: float, waits: float
) -> None:
    law = courses(worn=worn, pace_sd=pace_sd, walk_sd=walk_sd, error=error)
    worth = weigh_looks(law, stakes(late, waits, lead_days=0.0), GRID[:1])
    # the reading adds knowledge; the tolerated risk alone may forbid what it would have allowed,
    # some days of waiting
    assert worth.worth[0, 0] >= -3.0 * waits
    assert 0.0 <= worth.changes[0, 0] <= 1.0 + 1e-9
