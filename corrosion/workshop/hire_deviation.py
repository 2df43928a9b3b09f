"""What became of the hires that the desk was told of: as told, not yet, otherwise, not any more.

Notes
-----
* "Moved" is what the book says: the booking, or the row that took its place, is on the other hull.
  A hire that has begun where the book had it is asked about, never taken as moved.
* Of several plans the one issued last has the word on a hire. What an earlier one told, and the
  last one leaves out, is told as well as long as that hire is ahead: somebody may have acted on it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.records import Logbook
from corrosion.workshop.hires_told import hires_kept, hires_of_plan, named_bookings
from corrosion.workshop.issues import issues, until_week
from corrosion.workshop.plan import Plan

AS_TOLD, NOT_YET, ANEW, NO_LONGER, OTHERWISE, UNRECORDED, NOT_TOLD = (
    *("as-told", "not-yet", "told-anew", "no-longer", "otherwise", "not-recorded", "not-told"),
)
SINCE: Final = (
    *("starts", "ends", "hull_id", "told", "told_to", "now", "now_to", "what", "said", "why"),
    *("told_at", "plan_id", "mooring_id", "booked_on", "booked_from"),
)
WAS_TO: Final = {
    "move": "was to move to {to}",
    "cancel": "was to be called off",
    "look-first": "was to wait for a look",
}
IS_TO: Final = {
    "move": "moves to {to}",
    "cancel": "is called off",
    "look-first": "waits for a look",
}
Hire = dict[Any, Any]


@dataclass(frozen=True)
class HiresTold:
    """What the desk was told by the plans that were issued, against the book and today's plan.

    Attributes
    ----------
    kept : bool
        Whether the plan issued last for the week, or an earlier one, kept what it told of hires.
    lost : int
        Rows that this plan wrote and the log has no more; less than zero: it has more than those.
    rows : DataFrame, one row a hire, in order of its start
        `starts`, `ends` (UTC), `hull_id` (booked when it was told), `told` (``move``, ``cancel``,
        ``look-first``; empty: nothing), `told_to`, `now` and `now_to` (the same by today's plan),
        `what` (``as-told``, ``not-yet``: the book still has it as it was, ``told-anew``: today's
        plan asks for something else, ``no-longer``: today's plan leaves it, ``otherwise``: the
        book has it neither so nor so, ``not-recorded``: it has begun and nothing is written down,
        ``not-told``: today's plan changes it and nobody was told), `said` (a sentence), `why`
        (of what was told, else of today's plan), `told_at` (UTC), `plan_id`, `mooring_id`,
        `booked_on` and `booked_from` (hull and start, UTC, in the book now; empty and NaT: gone).
    plan_id : str
        The plan issued last.
    """

    kept: bool = False
    lost: int = 0
    rows: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=list(SINCE)))
    plan_id: str = ""

    @cached_property
    def of_today(self) -> dict[tuple[str, pd.Timestamp], Hire]:
        """Return the rows of hires that the book still has, by hull and start as it has them."""
        return {(row["booked_on"], row["booked_from"]): row for row in self.rows.to_dict("records")}


def hires_since_issue(plan: Plan, logbook: Logbook) -> HiresTold:
    """Compare what the desk was told of hires with the book and with today's plan.

    Parameters
    ----------
    plan : Plan
        The plan as it would be made now.
    logbook : Logbook
        The logs now.

    Returns
    -------
    HiresTold
        Not kept, and without rows, where no plan is issued, or the last one did not keep hires.
    """
    zone = logbook.settings.timezone
    issued = until_week(issues(logbook.plans, zone), plan.week)
    ids = [str(plan_id) for plan_id in issued["plan_id"]]
    known = hires_kept(logbook.plans, ids[0]) if ids else None
    if known is None:
        return HiresTold()
    newest = hires_of_plan(logbook, ids[0])
    ahead = [hires_of_plan(logbook, plan_id) for plan_id in ids[1:]]
    earlier = [table[table["starts"] > plan.on] for table in ahead]
    rows = list(_rows((newest, *earlier), plan, logbook))
    table = pd.DataFrame(rows, columns=list(SINCE))
    table = table.sort_values(["starts", "hull_id"], kind="stable", ignore_index=True)
    return HiresTold(True, known - len(newest), table, ids[0])


def _rows(told: tuple[pd.DataFrame, ...], plan: Plan, logbook: Logbook) -> Iterator[Hire]:
    """Give a row for each hire that was told of, the plan issued last first, then the new ones."""
    book, teller = _Book.read(logbook), _Teller(plan, logbook)
    met: set[tuple[str, pd.Timestamp]] = set()
    for number, table in enumerate(told):
        for line in table.to_dict("records"):
            at = book.place(line)
            key = (at["hull_id"], at["starts"]) if at else (line["hull_id"], line["starts"])
            if key not in met:
                met |= {key}
                yield teller.row(line, at, is_last=number == 0)
    for key, hire in teller.today.items():
        if key not in met:
            yield teller.new(hire)


@dataclass(frozen=True)
class _Book:
    """The bookings that stand, by name and by hull and start, and what took whose place."""

    named: dict[str, Hire]
    at: dict[tuple[str, pd.Timestamp], Hire]
    after: dict[str, list[str]]

    @classmethod
    def read(cls, logbook: Logbook) -> _Book:
        history = named_bookings(logbook)
        after: defaultdict[str, list[str]] = defaultdict(list)
        for name, corrects in history.loc[
            history["corrects"].notna(), ["name", "corrects"]
        ].itertuples(index=False):
            after[corrects].append(name)
        own = history[history["standing"] == "stands"]
        own = own[["name", "hull_id", "starts", "ends"]]
        rows = own.to_dict("records")
        return cls(
            {row["name"]: row for row in rows},
            {(row["hull_id"], row["starts"]): row for row in rows},
            dict(after),
        )

    def place(self, told: Hire) -> Hire | None:
        """Say on which hull, and when, the book has a hire now; None where it has it no more."""
        traced = self._traced(told["booking"])
        same, other = (
            self.at.get((str(told[name]), told["starts"])) for name in ("hull_id", "to_hull_id")
        )
        return traced or same or other

    def _traced(self, name: object) -> Hire | None:
        waiting, met = [name], set()
        while waiting:
            each = waiting.pop()
            if each in met or not isinstance(each, str):
                continue
            if each in self.named:
                return self.named[each]
            met.add(each)
            waiting += self.after.get(each, [])
        return None


@dataclass
class _Teller:
    """Says of one hire after the other what became of it."""

    plan: Plan
    logbook: Logbook
    today: dict[tuple[str, pd.Timestamp], Hire] = field(init=False)

    def __post_init__(self) -> None:
        rows = self.plan.hires.to_dict("records")
        self.today = {(row["hull_id"], row["starts"]): row for row in rows}

    def row(self, told: Hire, at: Hire | None, *, is_last: bool) -> Hire:
        """Say what became of a hire that was told of, given where the book has it."""
        now = self.today.get((at["hull_id"], at["starts"])) if at else None
        what, remark = self._became(told, at, now)
        zone = self.logbook.settings.timezone
        issued = formatting.moment(told["issued_at"], zone)
        by = "" if is_last else f" by the plan issued {issued}, which is not the last"
        was = f"{WAS_TO[told['change']].format(to=told['to_hull_id'])}{by}"
        return self._line(told, at, now) | {
            "told": told["change"], "told_to": told["to_hull_id"], "what": what,
            "said": f"{self._hire(told)} {was}; {remark}{'?' if what == UNRECORDED else '.'}",
            "why": told["why"],
            "told_at": told["issued_at"], "plan_id": told["plan_id"],
        }  # fmt: skip

    def new(self, hire: Hire) -> Hire:
        """Say that today's plan changes a hire of which nobody was told."""
        said = f"{self._hire(hire)} {_today(hire)}; the desk has not been told."
        return self._line(hire, hire, hire) | {
            "told": "", "told_to": "", "what": NOT_TOLD, "said": said, "why": hire["why"],
            "told_at": pd.NaT, "plan_id": "",
        }  # fmt: skip

    def _line(self, hire: Hire, at: Hire | None, now: Hire | None) -> Hire:
        own = {name: hire[name] for name in ("starts", "ends", "hull_id", "mooring_id")}
        change, to = (now["change"], now["to_hull_id"]) if now else ("", "")
        hull_id, starts = (at["hull_id"], at["starts"]) if at else ("", pd.NaT)
        return own | {"now": change, "now_to": to, "booked_on": hull_id, "booked_from": starts}

    def _became(self, told: Hire, at: Hire | None, now: Hire | None) -> tuple[str, str]:
        """Return what became of a hire, and the end of the sentence that says it."""
        change, to = told["change"], told["to_hull_id"]
        if at is None:
            gone = "the book no longer has it"
            return (AS_TOLD, f"{gone}, as told") if change == "cancel" else (OTHERWISE, gone)
        later = f"; by today's plan it {_today(now)}" if now else ""
        if at["starts"] != told["starts"] or at["ends"] != told["ends"]:
            return OTHERWISE, f"the book has it on {self._where(at)}{later}"
        if at["hull_id"] != told["hull_id"]:
            if change == "move" and at["hull_id"] == to:
                return (ANEW if now else AS_TOLD), f"the book has it on {to}, as told{later}"
            return OTHERWISE, f"the book has it on {at['hull_id']}{later}"
        if change == "look-first" and (looked := self._looked(told)):
            return (ANEW if now else AS_TOLD), f"{looked}{later}"
        return self._as_it_was(told, now)

    def _as_it_was(self, told: Hire, now: Hire | None) -> tuple[str, str]:
        """Say what follows where the book still has a hire just as it was."""
        still = (
            "no look is written down since"
            if told["change"] == "look-first"
            else f"the book still has it on {told['hull_id']}"
        )
        if told["starts"] <= self.plan.on:
            return UNRECORDED, f"it has begun, and {still}: was it done"
        if now is None:
            return NO_LONGER, f"{still}, and by today's plan it stays as it is booked"
        if (now["change"], now["to_hull_id"] or "") == (told["change"], told["to_hull_id"]):
            return NOT_YET, still
        return ANEW, f"{still}, and by today's plan it {_today(now)}"

    def _looked(self, told: Hire) -> str:
        """Name what was looked at or changed on the hull since the desk was told; empty: nothing.

        Which anodes a hire waits for stands in its reason alone, so every look is named.
        """
        zone, seen = self.logbook.settings.timezone, []
        for log, moment in (("readings", "read_at"), ("fittings", "fitted_at")):
            rows = self.logbook.tables[log]
            own = rows[(rows["hull_id"] == told["hull_id"]) & (rows[moment] > told["issued_at"])]
            seen.append(own[["position", moment]].rename(columns={moment: "at"}))
        since = pd.concat(seen).sort_values("at", kind="stable")
        if since.empty:
            return ""
        names = formatting.listed(list(dict.fromkeys(since["position"])))
        day = formatting.day(since["at"].iloc[0].tz_convert(zone).date(), zone, year=False)
        return f"{names} looked at or changed on {day}"

    def _hire(self, hire: Hire) -> str:
        zone = self.logbook.settings.timezone
        return f"Hire of {hire['hull_id']}, {formatting.moment(hire['starts'], zone)},"

    def _where(self, at: Hire) -> str:
        zone = self.logbook.settings.timezone
        starts, ends = (formatting.moment(at[name], zone) for name in ("starts", "ends"))
        return f"{at['hull_id']} from {starts} to {ends}"


def _today(hire: Hire) -> str:
    return IS_TO[hire["change"]].format(to=hire["to_hull_id"])
