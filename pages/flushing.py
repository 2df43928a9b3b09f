"""Does flushing pay, here, and for whom?"""

from __future__ import annotations

import pandas as pd

from corrosion.common import formatting
from corrosion.comparison import WORTHWHILE, FlushingReport
from corrosion.forecast import Appraisal
from pages._flushing import doubt, papers, picture, policy, rows, trial
from pages._shared import cached_answers, frame, widgets
from pages._shared.session import View


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the picture, policies, doubts, a trial, the notice, and the rows."""
    report = cached_answers.flushing(seen)
    widgets.say(_sentence(report, answer))
    if report.evidence is not None:
        picture.show(seen, report, report.evidence)
        policy.show(seen, report, report.evidence, answer)
        doubt.show(seen, report, report.evidence)
        trial.show(report, report.evidence)
    else:
        trial.what_to_log()
    papers.show(report, answer)
    rows.show(report, answer)


def _sentence(report: FlushingReport, answer: Appraisal) -> str:
    verdict, zone = report.verdict, answer.logbook.settings.timezone
    when = formatting.day(answer.logbook.on, zone)
    hulls = formatting.count(verdict.hulls, "hull")
    ends = formatting.share_span(verdict.low, verdict.high)
    if verdict.verdict == "saves":
        return (
            f"**Flushing saves wear: within an hour of each day's last return it would have spared "
            f"{formatting.share(verdict.share_saved)} ({ends}) of the engine-circuit wear in "
            "salt and "
            f"brackish water** over the year to {when}, seen on {hulls}.{_money(report, answer)}"
        )
    if verdict.verdict == "no-difference-seen":
        return (
            f"**No difference is seen:** daily flushing would have spared {ends} of the "
            f"engine-circuit wear in salt and brackish water over the year to {when}, from "
            f"{hulls}. A saving of {formatting.share(WORTHWHILE)} or more is ruled out."
        )
    if verdict.high is None:
        return f"**These logs cannot tell** ({when}). {formatting.plain(_reason(verdict.note))}"
    return (
        f"**These logs cannot tell** ({when}): anything from {ends} of the wear fits them, from "
        f"{hulls}. What to log, or how to try it out, is said below."
    )


def _reason(note: str) -> str:
    return note.split(". ", 1)[-1]


def _money(report: FlushingReport, answer: Appraisal) -> str:
    """Say whether anodes alone pay for the minutes, with the share of the hulls that are paid for.

    Only hulls that a hose reaches can be flushed: where they are not all, work and anodes are
    theirs, and so is the share that is said beside them.
    """
    evidence = report.evidence
    if evidence is None:
        return ""
    daily = evidence.policies.iloc[0]
    if pd.isna(daily["cost"]) or pd.isna(daily["spared"]):
        return ""
    currency = formatting.plain(answer.logbook.settings.currency)
    does = "pays" if daily["spared_low"] > daily["cost"] else "does not pay"
    if daily["spared_low"] <= daily["cost"] <= daily["spared_high"]:
        does = "may or may not pay"
    possible = int(evidence.daily.hulls["possible"].sum())
    whose = f" On the {formatting.count(possible, 'hull')} that a hose reaches it would have been "
    whose += (
        f"{formatting.share(evidence.possible_share)} "
        f"({formatting.share_span(evidence.possible_low, evidence.possible_high)}) of theirs, and "
        f"on anodes alone it {does}"
    )
    if possible == report.verdict.hulls:
        whose = f" On anodes alone it {does}"
    return (
        f"{whose} for its minutes: {currency} {formatting.number(daily['cost'])} of work against "
        f"{currency} {formatting.number(daily['spared_low'])} to "
        f"{formatting.number(daily['spared_high'])} of anodes a year."
    )


frame.page("Flushing", show)
