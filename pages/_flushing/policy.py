"""What if: who is flushed, how soon and how long; its cost; where it is not worth it."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import DAILY, Bill, Evidence, FlushingReport, Policy
from corrosion.forecast import Appraisal
from corrosion.reports import charts
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View

EVERYBODY = "salt and brackish"
SALT = "salt only"
WITHIN_H = (0.5, 1.0, 4.0, 12.0)
USUAL_MINUTES = 8.0


def show(seen: View, report: FlushingReport, evidence: Evidence, answer: Appraisal) -> None:
    """Let a policy be chosen, say what it costs and spares, and lay the usual ones side by side."""
    st.header("What if we flushed like this?")
    policy, minutes = _chosen(evidence, answer)
    st.markdown(_outcome(cached_answers.flush_bill(seen, policy, minutes), minutes, answer))
    _not_worth(report)
    with st.expander("The usual ways side by side: work against what it spares"):
        _beside(seen, evidence, answer)


def _chosen(evidence: Evidence, answer: Appraisal) -> tuple[Policy, float]:
    own = answer.logbook.settings.flush_minutes
    who, soon, which, long = st.columns(4)
    places = [f"{m} only" for m in evidence.moorings["mooring_id"]]
    who_flushes = who.selectbox("Who", [EVERYBODY, SALT, *places], key="who", bind="query-params")
    within = soon.selectbox(
        "Within",
        WITHIN_H,
        index=1,
        format_func=lambda hours: f"{hours:g} h",
        key="within",
        bind="query-params",
    )
    every = which.selectbox(
        "After", ("the day's last return", "every return"), key="after", bind="query-params"
    )
    minutes = long.number_input(
        "Minutes a flush", 1.0, 60.0, float(own or USUAL_MINUTES), 1.0, key="minutes"
    )
    policy = replace(DAILY, within_h=float(within), every_return=every == "every return")
    if who_flushes == SALT:
        policy = replace(policy, waters=("salt",))
    elif who_flushes != EVERYBODY:
        policy = replace(policy, mooring_ids=(who_flushes.removesuffix(" only"),))
    return policy, float(minutes)


def _outcome(bill: Bill, minutes: float, answer: Appraisal) -> str:
    currency = formatting.plain(answer.logbook.settings.currency or "")
    lines = [
        f"- **Work:** {formatting.number(bill.flushes)} more flushes a year of {minutes:g} min, "
        f"{formatting.number(bill.hours)} h{_cost(bill, currency)}. Only hulls that a hose "
        "reaches.",
        "- **Spared:** "
        f"{formatting.span(bill.anodes_low, bill.anodes, bill.anodes_high, 'anodes')} "
        f"a year (95 %){_spared(bill, currency)}{_visits(bill)}.",
    ]
    if bill.break_even_minutes is not None:
        lines.append(
            f"- **Break-even:** anodes alone pay for a flush of "
            f"{formatting.number(bill.break_even_minutes)} min."
        )
    if bill.castings:
        each = f"{currency} {formatting.number(bill.casting_cost)}"
        lines.append(
            f"- **The case for flushing rests on castings:** the rest is paid if "
            f"{formatting.number(bill.castings)} damages of {each} (your own `late_cost`) are "
            "prevented in a year. How often a late anode, or salt left standing, ends in such "
            "damage is not known here or published; it is yours to judge."
        )
    elif bill.casting_cost is None:
        lines.append(
            "- **The case for flushing rests on castings,** for which these logs hold no price "
            "(`late_cost`) and no numbers."
        )
    return "\n".join(lines)


def _cost(bill: Bill, currency: str) -> str:
    if bill.cost is None:
        return ", no wage on record (`wage_per_hour`)"
    return f", {currency} {formatting.number(bill.cost)}"


def _spared(bill: Bill, currency: str) -> str:
    if bill.spared_low is None:
        return "; no prices on record"
    low, high = formatting.number(bill.spared_low), formatting.number(bill.spared_high)
    return f", worth {currency} {low} to {high} with seals and work"


def _visits(bill: Bill) -> str:
    if bill.pull_outs is None:
        return ""
    low, high = formatting.number(bill.pull_outs_low), formatting.number(bill.pull_outs_high)
    return f", {low} to {high} pull-outs"


def _beside(seen: View, evidence: Evidence, answer: Appraisal) -> None:
    table = evidence.policies.assign(
        letter=list("ABCDEFGHIJKLMNOPQRSTUVWXYZ")[: len(evidence.policies)]
    )
    if table["hours"].notna().all():
        widgets.picture(
            cached_answers.picture(
                seen,
                "policies",
                draw=lambda: charts.cost_of_policies(table, dark=session.is_dark()),
            ),
            "policies",
            "Policies by hours of work added and anodes spared; the list below says the same.",
        )
    currency = answer.logbook.settings.currency
    rows = [
        listing.Row(
            (
                listing.strong(f"{row.letter}. {row.policy}"),
                listing.strong(formatting.number(row.flushes), _worked(row.hours)),
                listing.text(formatting.price(row.cost, currency)),
                listing.text(
                    formatting.span(row.anodes_low, row.anodes, row.anodes_high, "anodes")
                ),
                listing.text(formatting.price_span(row.spared_low, row.spared_high, currency)),
            )
        )
        for row in table.itertuples()
    ]
    listing.show(
        ("Policy", "Flushes added", "Cost", "Spared, 95 %", "Worth, 95 %"),
        rows,
        "policy_rows",
        f"A year, {formatting.count(int(evidence.daily.hulls['possible'].sum()), 'hull')} that "
        "a hose "
        "reaches. On top of the flushes that are done already.",
    )
    widgets.download(table.drop(columns="letter"), "flushing_policies", "Policies as CSV")


def _worked(hours: float) -> str:
    return "" if pd.isna(hours) else f"{formatting.number(hours)} h"


def _not_worth(report: FlushingReport) -> None:
    idle = report.not_worth
    st.markdown(
        f"""
**Where it is not worth it**

- *In fresh water:* {formatting.number(idle["fresh"])} returns of the year. No salt is left to
  rinse.
- *Between hires back to back:* {formatting.number(idle["back_to_back"])} of
  {formatting.number(idle["salty"])} salty returns were followed by the next outing within two
  hours. The last return of the day gives nearly all of the benefit; compare *every return* above.
- *Hulls that hardly go out,* and hulls that no hose reaches afloat.
"""
    )
