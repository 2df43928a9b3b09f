"""What a pull-out is worth on each day, and which anodes are best replaced then."""

from __future__ import annotations

from dataclasses import dataclass
from dataclasses import replace as replace_fields

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.workshop.plan.cases import Case, Flags
from corrosion.workshop.plan.prospects import Prospects

NEXT_VISIT_DAYS = 7.0
"""A hull that was out does not come out again before the next week's plan."""
RETURN_DAYS = 21.0
"""A hull that comes back in the next week costs a whole visit that nothing shares, one that comes
back after so many days none beyond its turn (a choice, no source)."""


@dataclass(frozen=True)
class Weighed:
    """The cost of pulling one hull, for t times and s choices of anodes, shape (t, s), currency.

    Attributes
    ----------
    late_before : shape (t, 1), expected cost of anodes past their limit until then
    work, materials : shape (1, s)
    hire : shape (t, 1)
    late_after : shape (t, s), the same for what stays, until the next natural visit
    put_off : shape (t, s), what the next turn of visit, access and anodes is put off by
    next_due : shape (t, s), days ahead of the next natural visit
    rule_after : shape (t, s), price of anodes over the tolerated risk that are left behind, and of
        coming back to the bay soon for them
    """

    late_before: Floats
    work: Floats
    materials: Floats
    hire: Floats
    late_after: Floats
    put_off: Floats
    next_due: Floats
    rule_after: Floats

    @property
    def cost(self) -> Floats:
        """Return the whole cost, shape (t, s); only differences mean anything."""
        spent = self.late_before + self.work + self.materials + self.hire
        return spent + self.late_after - self.put_off

    @property
    def cost_with_rules(self) -> Floats:
        """Return the cost with the price of what is left behind past the tolerated risk."""
        return self.cost + self.rule_after


def weigh(case: Case, ahead: Prospects, times: Floats, hire: Floats, replace: Flags) -> Weighed:
    """Weigh choices of anodes at some times.

    Parameters
    ----------
    case : Case, k anodes in g groups
    ahead : Prospects
    times : ndarray, shape (t,), days ahead
    hire : ndarray, shape (t,), hire lost, currency
    replace : bool ndarray, shape (s, k)

    Returns
    -------
    Weighed
    """
    due = _next_turns(case, ahead, times, replace, middle=False)
    middle = _next_turns(case, ahead, times, replace, middle=True)
    visit = due.min(axis=2)
    put_off = case.visit_rate * visit + middle @ case.unit_rate
    for group, rate in enumerate(case.group_rate):
        put_off = put_off + rate * due[:, :, case.group == group].min(axis=2)
    before = np.zeros(times.size)
    after, rule = np.zeros((times.size, len(replace))), np.zeros((times.size, len(replace)))
    for k, row in enumerate(case.rows):
        before += case.late[k] * ahead.days_past(row, times)
        # one that is due already waits for its own turn, which its part may hold up
        soon = case.due[k] <= times[:, None] + NEXT_VISIT_DAYS
        until = np.where(replace[None, :, k], times[:, None], np.where(soon, due[:, :, k], visit))
        after += case.late[k] * (ahead.days_past(row, until) - ahead.days_past(row, times)[:, None])
        over = ahead.days_over(row, until) - ahead.days_over(row, times)[:, None]
        rule += case.overdue * over
    early = (RETURN_DAYS - (visit - times[:, None])) / (RETURN_DAYS - NEXT_VISIT_DAYS)
    rule += case.visit * np.clip(early, 0.0, 1.0)
    return Weighed(
        before[:, None], case.wage * case.hours(replace)[None, :], case.materials(replace)[None, :],
        hire[:, None], after, put_off, visit, rule,
    )  # fmt: skip


def add_rule_price(weighed: Weighed, rule: Floats) -> Weighed:
    """Return the same with the price of another rule on top, shape (t, s), currency."""
    return replace_fields(weighed, rule_after=weighed.rule_after + rule)


def _next_turns(
    case: Case, ahead: Prospects, times: Floats, replace: Flags, *, middle: bool
) -> Floats:
    """Return the days ahead at which each anode is due again, shape (t, s, k)."""
    turns = np.empty((times.size, len(replace), case.rows.size))
    stays = case.mid if middle else case.due
    for k, row in enumerate(case.rows):
        level = None if middle else float(case.level[k])
        new = ahead.new_lasts_until(row, times, level)
        old = np.maximum(np.maximum(stays[k], case.ready[k]), times + NEXT_VISIT_DAYS)
        turns[:, :, k] = np.where(replace[None, :, k], new[:, None], old[:, None])
    return turns


@dataclass(frozen=True)
class Best:
    """The best choice at each time: `cost` (currency), `choice` (row of `replace`), `hours` (h).

    `costs`, shape (t, s), are those of every choice. What can't be done has an endless cost.
    """

    replace: Flags
    costs: Floats
    cost: Floats
    choice: Codes
    hours: Floats


def best_choices(
    case: Case,
    weighed: Weighed,
    replace: Flags,
    most_hours: Floats,
    missing: Flags,
    *,
    empty: bool = False,
    in_vain: Flags | None = None,
) -> Best:
    """Choose the anodes to replace at each time.

    Parameters
    ----------
    case : Case
    weighed : Weighed, of t times and s choices
    replace : bool ndarray, shape (s, k)
    most_hours : ndarray, shape (t,), longest job that any bay can take, h
    missing : bool ndarray, shape (t, k), no part is there
    empty : bool, whether a pull-out that replaces nothing counts
    in_vain : bool ndarray, shape (t, s), visits that leave the hull in danger; None: all count

    Returns
    -------
    Best
    """
    hours = case.hours(replace)
    possible = np.less_equal.outer(-most_hours, -hours + 1e-9)
    possible &= ~(missing[:, None, :] & replace[None, :, :]).any(axis=2)
    if not empty:
        possible &= np.asarray(replace.any(axis=1))[None, :]
    if in_vain is not None:
        possible &= ~in_vain
    cost = np.where(possible, weighed.cost_with_rules, np.inf)
    choice = cost.argmin(axis=1)
    return Best(replace, cost, cost[np.arange(len(cost)), choice], choice, hours[choice])
