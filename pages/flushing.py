"""Does flushing pay, here, and for whom?"""

from __future__ import annotations

import pandas as pd

from corrosion import words
from corrosion.appraisal import Appraisal
from corrosion.flushing import WORTHWHILE, Report
from pages import (
    _ask,
    _flush_doubt,
    _flush_picture,
    _flush_policy,
    _flush_print,
    _flush_rows,
    _flush_trial,
    _frame,
    _parts,
)
from pages._seen import View


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the picture, policies, doubts, a trial, the notice, and the rows."""
    report = _ask.flushing(seen)
    _parts.say(_sentence(report, answer))
    if report.evidence is not None:
        _flush_picture.show(seen, report, report.evidence)
        _flush_policy.show(seen, report, report.evidence, answer)
        _flush_doubt.show(seen, report, report.evidence)
        _flush_trial.show(report, report.evidence)
    else:
        _flush_trial.what_to_log()
    _flush_print.show(report, answer)
    _flush_rows.show(report, answer)


def _sentence(report: Report, answer: Appraisal) -> str:
    verdict, zone = report.verdict, answer.logbook.settings.timezone
    when = words.day(answer.logbook.on, zone)
    hulls = words.count(verdict.hulls, "hull")
    ends = words.share_span(verdict.low, verdict.high)
    if verdict.verdict == "saves":
        return (
            f"**Flushing saves wear: within an hour of each day's last return it would have spared "
            f"{words.share(verdict.share_saved)} ({ends}) of the engine-circuit wear in salt and "
            f"brackish water** over the year to {when}, seen on {hulls}.{_money(report, answer)}"
        )
    if verdict.verdict == "no-difference-seen":
        return (
            f"**No difference is seen:** daily flushing would have spared {ends} of the "
            f"engine-circuit wear in salt and brackish water over the year to {when}, from "
            f"{hulls}. A saving of {words.share(WORTHWHILE)} or more is ruled out."
        )
    if verdict.high is None:
        return f"**These logs cannot tell** ({when}). {words.plain(_reason(verdict.note))}"
    return (
        f"**These logs cannot tell** ({when}): anything from {ends} of the wear fits them, from "
        f"{hulls}. What to log, or how to try it out, is said below."
    )


def _reason(note: str) -> str:
    return note.split(". ", 1)[-1]


def _money(report: Report, answer: Appraisal) -> str:
    """Say in half a sentence whether anodes alone pay for the minutes."""
    if report.evidence is None:
        return ""
    daily = report.evidence.policies.iloc[0]
    if pd.isna(daily["cost"]) or pd.isna(daily["spared"]):
        return ""
    currency = words.plain(answer.logbook.settings.currency)
    does = "pays" if daily["spared_low"] > daily["cost"] else "does not pay"
    if daily["spared_low"] <= daily["cost"] <= daily["spared_high"]:
        does = "may or may not pay"
    return (
        f" On anodes alone it {does} for its minutes: {currency} {words.number(daily['cost'])} of "
        f"work against {currency} {words.number(daily['spared_low'])} to "
        f"{words.number(daily['spared_high'])} of anodes a year."
    )


_frame.page("Flushing", show)
