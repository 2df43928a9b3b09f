"""What is laid down before any number is drawn: the size, the routine and the laws of a fleet.

A kind of fleet is a `Plan`. Where a field holds a pair, the value is drawn between the two, by
seed, so that no fleet repeats the constants of another.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

Range = tuple[float, float]
Whole = tuple[int, int]

WATERS = ("salt", "brackish", "fresh")
SALT, BRACKISH, FRESH = range(3)


@dataclass(frozen=True)
class Plan:
    """The design of one kind of fleet; units are in the names."""

    # size
    hulls: int = 40
    days: int = 400
    tail_days: int = 150  # simulated beyond the logs, so that a late forecast still has a truth
    moorings: tuple[str, ...] = WATERS
    layouts: Whole = (2, 3)
    alloy: str = "aluminium"
    other_alloys: float = 0.0  # share of fittings that are of an alloy which is not listed

    # use
    start_day_of_year: Whole = (1, 365)
    winter_activity: Range = (0.25, 0.6)  # share of the summer's outings
    afloat_share: Range = (0.25, 0.5)
    flush_habit: str = "own"  # 'own', or 'confounded': hard-worked hulls are flushed less
    afloat_can_flush: float = 0.5  # share of afloat hulls whose passages can be rinsed there
    demand: float = 1.0  # outings beside those of an ordinary fleet
    bookings: bool = True
    book_lead_days: float = np.inf  # mean time a hire is booked ahead; inf: long before
    bookings_dated: bool = False  # the log says when each hire was entered
    moved_share: float = 0.05
    storms: float = 0.0  # spread (log) of the whole fleet's use from week to week
    late_share: float = 0.05  # hulls that join in mid-span
    retired_share: float = 0.03
    laid_up: int = 0  # hulls that lie still for three weeks while the others work
    laid_up_from: float = 0.55  # when that begins, share of the days

    # the yard
    read_every_days: Range = (14, 21)
    reading_noise_mm: float = 0.12
    pitted_noise: float = 0.0  # noise grows by this share from new to the limit
    rounding_mm: float = 0.01
    by_eye_share: float = 0.0
    verdict_share: float = 0.0
    unread_changes: float = 0.0  # share of changes at which nobody wrote down what came out
    changed_blindly: float = 0.0  # share of visits at which an anode is changed, not for its wear
    crust_mm: float = 0.0  # a look without cleaning reads too large by about so much
    messy: bool = False

    # the flush log
    lost_flushes: float = 0.0  # share of rinses done that nobody wrote down
    ticked_days: float = 0.0  # share of days on which every hull that was out is ticked at 18:00
    all_at_six: bool = False  # rinses done are all written down as at 18:00 of their day
    silent_moorings: tuple[int, ...] = ()  # moorings, by number, that keep no flush log

    # physics
    process_sd: Range = (0.03, 0.05)  # spread of worn at its mean of 1, gamma increments
    hull_spread: Range = (0.20, 0.25)
    hull_law: str = "gamma"
    circuits_alike: Range = (0.7, 1.0)  # correlation of a hull's two circuits
    anode_spread: Range = (0.06, 0.12)
    drying: tuple[tuple[str, Range], ...] = (("exponential", (18, 36)),)  # law, its time in h
    temperature_law: str = "exponential"  # or 'arrhenius'
    salinity_matters: bool = False
    unflushed_scale: float = 1.0
    fresh_scale: float = 1.0
    mooring_spread: float = 0.0
    mooring_salt_power: float = 0.0  # saltier moorings of one kind of water wear harder
    mooring_use_spread: float = 0.0  # hulls of some moorings are hired out more
    growth: Range = (0.0, 0.0)  # how much faster a spent anode wears than a new one
    growth_of: str = ""  # the gauge whose anodes speed up; empty: all
    engine_heat: float = 1.0  # warmth outside counts this much in passages that the engine warms
    dose_minutes: float = 0.0  # a rinse of so many minutes leaves a third of the salt; 0: none
    spent_drives: float = 0.0  # wear of an anode rises by this share once a neighbour is spent
    flooded_afloat: bool = False
    warm_autumn_c: Range = (0.0, 0.0)

    # what does not behave
    hot_hulls: int = 0
    hot_factor: float = 2.6
    hot_beside_sisters: bool = True  # so many times the usual hull's wear; else, its own
    unbonded: int = 0  # anodes in salt or brackish water that do not wear
    painted: int = 0  # plates on lifted hulls, painted over
    hot_weeks: float = 0.0  # a pontoon with stray current, for so many weeks
    hot_berth_factor: float = 3.0
    hot_berth_share: float = 0.5  # of the hulls afloat at its mooring
    strays_from: Range = (0.0, 0.0)  # when it begins, share of the days


STANDARD = Plan()
SHORT, LONG = (10.0, 14.0), (55.0, 65.0)
OTHER_DRYING: tuple[tuple[str, Range], ...] = (
    ("exponential", SHORT),
    ("exponential", LONG),
    ("linear", (18, 36)),
    ("two-stage", (18, 36)),
)
UNEVEN = ("salt", "salt", "salt", "brackish", "brackish", "fresh")
FOUR = ("salt", "salt", "brackish", "fresh")
MANY = ("salt", "salt", "salt", "brackish", "brackish", "fresh")

KINDS: dict[str, Plan] = {
    "standard": STANDARD,
    "nobookings": replace(STANDARD, bookings=False),
    "late_bookings": replace(STANDARD, book_lead_days=9.0),
    "dated_bookings": replace(STANDARD, book_lead_days=9.0, bookings_dated=True),
    "gamma": replace(STANDARD, process_sd=(0.09, 0.13), pitted_noise=1.0),
    "other_drying": replace(STANDARD, drying=OTHER_DRYING),
    "arrhenius": replace(STANDARD, temperature_law="arrhenius", salinity_matters=True),
    "lognormal_hulls": replace(STANDARD, hull_law="lognormal", hull_spread=(0.35, 0.35)),
    "coarse": replace(STANDARD, reading_noise_mm=0.3, read_every_days=(38, 46)),
    "rounded": replace(STANDARD, rounding_mm=0.5),
    "by_eye": replace(STANDARD, by_eye_share=0.5, verdict_share=0.2),
    "small8": replace(STANDARD, hulls=8, days=220, layouts=(2, 2)),
    "confounded": replace(STANDARD, flush_habit="confounded", afloat_can_flush=0.0),
    "null_flush": replace(STANDARD, unflushed_scale=0.0),
    "null_confounded": replace(
        STANDARD, unflushed_scale=0.0, flush_habit="confounded", afloat_can_flush=0.0
    ),
    "afloat_cannot": replace(STANDARD, afloat_can_flush=0.0, afloat_share=(0.45, 0.65)),
    "small4": replace(STANDARD, hulls=4, days=60, layouts=(2, 2), start_day_of_year=(85, 200)),
    "unlogged": replace(STANDARD, lost_flushes=0.2),
    "ticked": replace(STANDARD, ticked_days=0.5),
    "six_oclock": replace(STANDARD, all_at_six=True),
    "silent_salt": replace(STANDARD, silent_moorings=(0,)),
    "silent_brackish": replace(STANDARD, silent_moorings=(1,)),
    "messy": replace(STANDARD, messy=True),
    "warm_autumn": replace(STANDARD, warm_autumn_c=(2.5, 4.5), start_day_of_year=(265, 295)),
    "many_moorings": replace(STANDARD, moorings=MANY, mooring_spread=0.25),
    "uneven_moorings": replace(
        STANDARD, moorings=UNEVEN, mooring_salt_power=0.8, mooring_use_spread=0.5
    ),
    "nonlinear": replace(STANDARD, growth=(0.6, 1.2)),
    "diameters_speed_up": replace(STANDARD, growth=(0.4, 0.8), growth_of="diameter"),
    "warm_passages": replace(STANDARD, engine_heat=0.0),
    "dosed": replace(STANDARD, dose_minutes=4.0),
    "spent_neighbour": replace(STANDARD, spent_drives=0.5),
    "unread_changes": replace(STANDARD, unread_changes=0.5, read_every_days=(38, 46)),
    "blind_changes": replace(STANDARD, changed_blindly=0.1, read_every_days=(38, 46)),
    "stormy": replace(STANDARD, storms=0.5),
    "stormy_nobookings": replace(STANDARD, storms=0.5, bookings=False),
    "crusted": replace(STANDARD, crust_mm=0.4),
    "engine_afloat": replace(STANDARD, flooded_afloat=True),
    "other_alloys": replace(STANDARD, alloy="zinc", other_alloys=0.12),
    "hot_hulls": replace(STANDARD, hot_hulls=2),
    "hot_later": replace(STANDARD, hot_hulls=2, strays_from=(0.4, 0.7), hot_beside_sisters=False),
    "unbonded": replace(STANDARD, unbonded=3),
    "unbonded_later": replace(STANDARD, unbonded=3, strays_from=(0.4, 0.7)),
    "painted": replace(STANDARD, painted=3),
    "hot_berth": replace(STANDARD, hot_weeks=5.0, strays_from=(0.4, 0.7)),
    "hot_in_season": replace(
        STANDARD,
        moorings=("salt", "brackish"),
        hot_weeks=60.0,
        hot_berth_factor=2.6,
        hot_berth_share=1.0,
        strays_from=(0.72, 0.80),
        afloat_share=(0.6, 0.8),
        moved_share=0.0,
    ),
    "unbonded_in_season": replace(STANDARD, unbonded=3, strays_from=(0.72, 0.80)),
    # from the first weeks of a season of 24 weeks on
    "unbonded_in_spring": replace(STANDARD, unbonded=3, strays_from=(0.55, 0.60)),
    "one_season": replace(STANDARD, days=200, start_day_of_year=(85, 120)),
    "laid_up": replace(STANDARD, laid_up=6, moved_share=0.0),
    "four_moorings": replace(STANDARD, moorings=FOUR),
    "four_moorings_arrhenius": replace(
        STANDARD,
        moorings=FOUR,
        temperature_law="arrhenius",
        hull_law="lognormal",
        process_sd=(0.09, 0.13),
    ),
    "fresh_only": replace(
        STANDARD, moorings=("fresh", "fresh"), alloy="magnesium", fresh_scale=6.0
    ),
}
