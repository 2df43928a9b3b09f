"""Who has not written since when: the chance that entries are missing, by mooring and by age.

Nothing written is not nothing done. A mooring at which nobody wrote although hires were booked, or
far longer than it ever lay still, has probably not been written up; where neighbours at the same
dock are being written up, a hull without entries lies still. A dock that writes late is told by
when past entries were entered or, where that is not kept, by outings that thin out towards today
against what was booked.

Notes
-----
* The last entry and now are two moments (`silence`, `filled_exposure`). What was probably done in
  between is a `Filling` of the exposure, apart from the clocks of the logs: no outing is
  invented, and whatever asks for hours gets both. Where entries are in place there is none, and
  answers are the same to the byte.
* A mixture, by mooring. Not written up, against at work and quiet by chance (negative binomial
  about what was due, or the share of past days on which it had rested as long), against resting
  unannounced; few hulls rest as one more easily, hires speak against rest. The fleet is judged as
  a whole too. Its chances before anything is known (2 %, 0.4 %, 30 % a hull) are judgement, not
  measured. Below 0.1: no silence.
* A hull alone is never filled in while its neighbours are written up, even where hires of it went
  by: `hull-silent` asks. Rows lost for one hull only are therefore still taken for rest.
* Late entries are told by `entered_at`, else by outings that thin out towards today against what
  was due, if a week falls short by more than 2.5 of the fleet's usual deviations.
* Its spread is in the state: in worn now, in every range ahead, and in the filter between two
  looks (`Design.unsure`), so that a look inside a silence is not read as fast wear.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.optimize import isotonic_regression

from corrosion.common import HOURS_A_DAY, Codes, Floats, hours_since_epoch
from corrosion.forecast.booking_curve import ONE_SITTING

FALLS_SILENT = 0.02
"""Chance, before anything is known, that a mooring stopped writing."""
LIES_STILL = 0.004
LIES_STILL_AS_ONE = 0.3
"""Chances that a whole mooring rests unannounced, and that any hull does, on its own account: few
hulls may all rest by chance. Both are the project's own judgement."""
BOOKED_RESTS = 0.03
"""How much less likely rest is where hires were booked."""
CLUMPS, BOOKED_CLUMPS = 2.0, 4.0
"""Shape of the negative binomial of a mooring's outings about what is expected of them."""
LEAST_UNWRITTEN = 0.1
"""A silence less likely than this is none: nothing is filled in."""
SETTLED_DAYS = 21
"""Days after which every entry that will come has come, where a dock writes late."""
LEAST_DATED = 40
THIN_FROM, THIN_SURE = 2.5, 4.0
"""Standard deviations of a usual week by which the last one must fall short before thinning
outings are taken for late entries, and from which on for sure."""
ARRIVED = 0.95


@dataclass(frozen=True)
class Expected:
    """What is expected of the last days, whether written down or not.

    Attributes
    ----------
    engine_h : ndarray, shape (hulls, d), the last day last
    booked : ndarray, shape (hulls, d), how much of it a hire tells
    outing_h : float, engine hours of a usual outing
    """

    engine_h: Floats
    booked: Floats
    outing_h: float


def last_written(outings: pd.DataFrame, flushes: pd.DataFrame, hulls: pd.Index) -> Floats:
    """Return the last moment that an outing or flush of each hull tells of, shape (hulls,).

    Parameters
    ----------
    outings : DataFrame with hull (code) and stop_h
    flushes : DataFrame, the log
    hulls : Index

    Returns
    -------
    ndarray, hours since 1970; -inf where nothing was ever written
    """
    last = np.full(len(hulls), -np.inf)
    np.maximum.at(last, outings["hull"].to_numpy(np.intp), outings["stop_h"].to_numpy(float))
    code, at = (
        hulls.get_indexer(pd.Index(flushes["hull_id"])),
        hours_since_epoch(flushes["flushed_at"]),
    )
    known = (code >= 0) & ~np.isnan(at)
    np.maximum.at(last, code[known], at[known])
    return last


def arrived_by_age(outings: pd.DataFrame, on_h: float, days: int) -> Floats | None:
    """Return the share of outings that is written down by their age, from when past ones were.

    Parameters
    ----------
    outings : DataFrame with ended and, where known, entered_at (UTC)
    on_h : float, hours since 1970
    days : int

    Returns
    -------
    ndarray, shape (days,), yesterday first; None where too few entries tell
    """
    if "entered_at" not in outings:
        return None
    ended, entered = (hours_since_epoch(outings[c]) for c in ("ended", "entered_at"))
    settled = (ended < on_h - SETTLED_DAYS * HOURS_A_DAY) & ~np.isnan(entered)
    settled &= ended > on_h - 200 * HOURS_A_DAY
    if settled.sum() < LEAST_DATED:
        return None
    sitting = np.unique(np.floor(entered[settled] / HOURS_A_DAY), return_counts=True)[1]
    if sitting.max() > ONE_SITTING * settled.sum():
        return None
    delay = np.sort(np.maximum(entered[settled] - ended[settled], 0.0) / HOURS_A_DAY)
    delay = delay[delay <= SETTLED_DAYS]
    middle = np.arange(days) + 0.5
    share = np.searchsorted(delay, middle, side="right") / max(delay.size, 1)
    return np.where(share >= ARRIVED, 1.0, share)


def thinning(written: Floats, expected: Floats, week_sd: float) -> tuple[Floats, float]:
    """Read off how outings thin out towards today, and the chance that late entries do it.

    Parameters
    ----------
    written, expected : ndarray, shape (d,), the fleet's engine hours by day, the last day last
    week_sd : float, by what share a usual week strays from what was expected of it

    Returns
    -------
    share : ndarray, shape (d,), written by age, yesterday first, never falling with age
    chance : float
    """
    short = 1.0 - written[-7:].sum() / max(float(expected[-7:].sum()), 1e-9)
    away = short / max(week_sd, 0.08)
    chance = float(np.clip((away - THIN_FROM) / (THIN_SURE - THIN_FROM), 0.0, 1.0))
    ratio = written[::-1] / np.maximum(expected[::-1], 1e-9)
    share = isotonic_regression(ratio, weights=np.maximum(expected[::-1], 1e-9)).x
    share = np.clip(share, 0.0, 1.0)
    return np.where(share >= ARRIVED, 1.0, share), chance


def silent_chance(expected: Floats, booked: Floats, usual: Floats, rested: float) -> float:
    """Return the chance that a mooring without entries was not written up.

    Parameters
    ----------
    expected, booked : ndarray, shape (hulls,), outings due since its last entry, and hires
    usual : ndarray, shape (hulls,), outings due by habit, which tells the hulls that work
    rested : float, share of its past days on which it had lain still for as long

    Returns
    -------
    float, 0 where nothing was due
    """
    due, hires = float(expected.sum()), float(booked.sum())
    if due < 1e-6:
        return 0.0
    hired = hires > 0.5 * due
    clumps = BOOKED_CLUMPS if hired else CLUMPS
    quiet = max((1 + due / clumps) ** -clumps, 0.0 if hired else rested)
    # a dock whose hulls are few rests more easily; hulls that hardly work do not speak
    working = float(((usual + booked) > 1.0).sum())
    rest = LIES_STILL + LIES_STILL_AS_ONE ** max(working, 1.0)
    chance = FALLS_SILENT / (FALLS_SILENT + quiet + (BOOKED_RESTS if hired else 1.0) * rest)
    return chance if chance >= LEAST_UNWRITTEN else 0.0


def had_rested(daily: Floats, days: int) -> float:
    """Return the share of past days on which a mooring had lain still for so many days.

    Parameters
    ----------
    daily : ndarray, shape (d,), its engine hours by day, before its last entry
    days : int

    Returns
    -------
    float
    """
    if daily.size <= days:
        return 0.0
    runs = np.convolve(daily > 0, np.ones(days), mode="valid")
    # a record that begins with no outing at all is no rest
    began = int(np.argmax(daily > 0))
    return float((runs[began:] == 0).mean()) if runs.size > began else 0.0


def missing(due: Expected, written: Floats, share: Floats, chance: float) -> Floats:
    """Return engine hours not written down of days of which a share is, shape (hulls, d).

    Parameters
    ----------
    due : Expected
    written : ndarray, shape (hulls, d), engine hours on record
    share : ndarray, shape (d,), of entries that are in by age, yesterday first
    chance : float, that entries are late at all
    """
    come = share[::-1]
    hire = np.where(due.engine_h > 0, due.booked / np.maximum(due.engine_h, 1e-9), 0.0)
    # a hire whose outing is on record is not missing; one whose is not, the likelier
    open_hires = np.maximum(due.booked - written, 0.0) * (1 - come) / (1 - 0.9 * come)
    habit = (1 - hire) * due.engine_h * (1 - come)
    return np.asarray(chance * (open_hires + habit))


def by_mooring(mooring: Codes, serving: np.ndarray) -> dict[int, np.ndarray]:
    """Return the hull codes in service at each mooring, by mooring code."""
    members = {
        int(m): np.flatnonzero((mooring == m) & serving) for m in np.unique(mooring) if m >= 0
    }
    return {m: hulls for m, hulls in members.items() if hulls.size}
