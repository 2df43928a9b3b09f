"""Two papers about flushing: one page for the dock, and a longer one for the owner.

The dock's page gives one fair number of this fleet's own, no names, and no group of fewer than
five hulls; it says where a flush is not worth it and what the number leaves out.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.comparison import SMALLEST_GROUP, WORTHWHILE, Evidence, FlushingReport, Verdict
from corrosion.forecast import Appraisal
from corrosion.reports.sheets import Paper, render, sheet

MOST_DOCKS = 4
CASTINGS = (
    "The case for flushing is the castings that salt eats once the anode is gone. How often that "
    "happens nobody has published, and these logs do not hold it: those numbers are weak."
)


def dock_notice(
    report: FlushingReport,
    appraisal: Appraisal,
    *,
    stamp: str,
    simulated: bool,
    paper: Paper = "a4",
) -> str:
    """Write the notice for the dock: one page, large type.

    Parameters
    ----------
    report : Report
    appraisal : Appraisal, for the fleet's date, currency and minutes
    stamp : str, fleet, moment and method
    simulated : bool, whether the fleet is invented
    paper : {'a4', 'letter'}

    Returns
    -------
    str
        A whole HTML document.
    """
    body = render(
        "dock_notice.html",
        headline=_headline(report.verdict),
        behind=_behind(report.verdict, appraisal),
        docks=_docks(report.evidence) if report.verdict.verdict == "saves" else [],
        takes=_takes(report.evidence, appraisal),
        leaves_out=_leaves_out(report, appraisal),
    )
    title = "Flushing after the last return"
    return sheet(title, body, paper=paper, stamp=stamp, simulated=simulated, heading=False)


def owner_page(
    report: FlushingReport,
    appraisal: Appraisal,
    *,
    stamp: str,
    simulated: bool,
    paper: Paper = "a4",
) -> str:
    """Write the longer page for the owner; see `dock_notice`."""
    body = render(
        "flushing_owner.html",
        headline=_headline(report.verdict),
        behind=_behind(report.verdict, appraisal),
        money=" ".join(_money(report.evidence, appraisal)),
        ways=_ways(report),
        policies=_policies(report.evidence, appraisal),
        rests_on=_rests_on(report),
        readings=[
            (row.reading, formatting.share(row.share), _ends(row.low, row.high))
            for row in _rows(report.verdict.readings)
        ],
    )
    return sheet("What flushing saves", body, paper=paper, stamp=stamp, simulated=simulated)


def _headline(verdict: Verdict) -> str:
    if verdict.verdict == "saves":
        return (
            "Flushed within an hour of the day's last return, the anodes inside our engines would "
            f"have worn {formatting.share(verdict.share_saved)} less in salt and brackish water."
        )
    if verdict.verdict == "no-difference-seen":
        return (
            "Our logs show no difference: flushing saves less than "
            f"{formatting.share(WORTHWHILE)} of the wear of the anodes inside our engines."
        )
    return "Our logs cannot tell yet what flushing saves."


def _behind(verdict: Verdict, appraisal: Appraisal) -> str:
    when = formatting.day(appraisal.logbook.on, appraisal.logbook.settings.timezone)
    if verdict.hulls < SMALLEST_GROUP or verdict.high is None:
        return f"{when}. Too few hulls, looks or flush rows to say more. Written-down flushes help."
    returns = int(verdict.by_hull["last_returns"].sum())
    return (
        f"{formatting.share_span(verdict.low, verdict.high).capitalize()}, 19 times in 20. From "
        f"{verdict.hulls} hulls and {formatting.number(returns)} last returns in the year to "
        f"{when}, "
        "with hours, water, warmth and each hull's own pace held equal."
    )


def _docks(evidence: Evidence | None) -> list[str]:
    if evidence is None:
        return []
    return [
        f"{row.mooring_id} {formatting.share(row.share_saved)} ({_ends(row.low, row.high)}, "
        f"{row.hulls} hulls)"
        for row in _rows(evidence.moorings.nlargest(MOST_DOCKS, "hulls"))
    ]


def _takes(evidence: Evidence | None, appraisal: Appraisal) -> str:
    minutes = appraisal.logbook.settings.flush_minutes
    each = (
        f"About {formatting.number(minutes)} minutes a hull" if minutes else "A few minutes a hull"
    )
    if evidence is None:
        return f"{each}, once a day, after the last return."
    daily = evidence.policies.iloc[0]
    more = f"{formatting.number(daily['flushes'])} more flushes a year for all of us"
    hours = (
        "" if pd.isna(daily["hours"]) else f", {formatting.number(daily['hours'])} hours of work"
    )
    return f"{each}, once a day, after the last return: {more}{hours}."


def _leaves_out(report: FlushingReport, appraisal: Appraisal) -> list[str]:
    lines = []
    if report.verdict.raw is not None:
        lines.append(
            f"Simply comparing hulls flushed often with the others gives "
            f"{formatting.share(report.verdict.raw)}. That is not fair: they differ in hours, "
            "water and "
            "berth."
        )
    own = report.verdict.within
    if own is not None and report.verdict.verdict == "saves":
        lines.append(
            "The same hulls in their flushed and their unflushed weeks: "
            f"{formatting.share(own.share)} "
            f"({_ends(own.low, own.high)})."
        )
    lines += _money(report.evidence, appraisal)[:1]
    return [*lines, CASTINGS]


def _money(evidence: Evidence | None, appraisal: Appraisal) -> list[str]:
    if evidence is None:
        return []
    daily, currency = evidence.policies.iloc[0], appraisal.logbook.settings.currency
    if pd.isna(daily["cost"]) or pd.isna(daily["spared"]):
        return ["Wage, minutes or part prices are not on record, so no money is said."]
    low, high = formatting.number(daily["spared_low"]), formatting.number(daily["spared_high"])
    first = (
        f"Anodes alone: {currency} {low} to {high} a year spared, against {currency} "
        f"{formatting.number(daily['cost'])} of work."
    )
    if not daily["castings"] or pd.isna(daily["castings"]):
        return [first]
    return [
        first,
        f"The rest is paid if {formatting.number(daily['castings'])} damages of {currency} "
        f"{formatting.number(daily['casting_cost'])} (the fleet's own entry) are prevented in a "
        "year; "
        "how often such damage happens is not known.",
    ]


def _ways(report: FlushingReport) -> list[tuple[str, ...]]:
    verdict, evidence = report.verdict, report.evidence
    if evidence is None:
        return []
    rows = [_way("All hulls", verdict.share_saved, verdict.low, verdict.high, verdict.raw,
                 verdict.hulls)]  # fmt: skip
    if verdict.within is not None:
        own = verdict.within
        rows.append(
            _way("The same hulls' own weeks", own.share, own.low, own.high, None, own.hulls)
        )
    rows += [
        _way(f"{row.mooring_id} ({row.water})", row.share_saved, row.low, row.high, row.raw,
             row.hulls)
        for row in _rows(evidence.moorings)
    ]  # fmt: skip
    return rows


def _way(
    who: str,
    share: float | None,
    low: float | None,
    high: float | None,
    raw: float | None,
    hulls: int,
) -> tuple[str, ...]:
    compared = raw is not None and not np.isnan(raw)
    in_words = "cannot tell" if share is None else formatting.share(share)
    ends = f"{in_words} ({_ends(low, high)})"
    return who, ends, formatting.share(raw) if compared else "not compared", str(hulls)


def _policies(evidence: Evidence | None, appraisal: Appraisal) -> list[tuple[str, ...]]:
    if evidence is None:
        return []
    currency = appraisal.logbook.settings.currency
    return [
        (
            row.policy,
            formatting.number(row.flushes),
            formatting.price(row.cost, currency),
            formatting.span(row.anodes_low, row.anodes, row.anodes_high, ""),
            formatting.price_span(row.spared_low, row.spared_high, currency),
        )
        for row in _rows(evidence.policies)
    ]


def _rests_on(report: FlushingReport) -> list[str]:
    lines = [report.verdict.note]
    if report.evidence is not None and report.verdict.verdict == "saves":
        hidden = report.evidence.hidden
        lines.append(
            f"A cause that nobody logged would have to make hulls wear {hidden.strength:.1f} times "
            f"as fast and be {hidden.strength:.1f} times as common where hulls are not flushed, to "
            "explain all of it away."
        )
    idle = report.not_worth
    lines.append(
        f"Not worth it: {formatting.number(idle['fresh'])} returns of the year were from fresh "
        "water, "
        f"and {formatting.number(idle['back_to_back'])} of {formatting.number(idle['salty'])} "
        "salty ones "
        "were followed by the next outing within two hours."
    )
    return [*lines, CASTINGS]


def _rows(table: pd.DataFrame) -> list[Any]:
    return list(table.itertuples())


def _ends(low: float | None, high: float | None) -> str:
    in_words = formatting.share_span(low, high)
    return "ruled out by the looks" if in_words == "not known" else in_words
