"""What does anode work cost, and what does the plan save?"""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.reports import charts
from corrosion.workshop import (
    CANNOT_TELL,
    EVERYWHERE,
    OWN,
    PARTLY_OWN,
    SAVES,
    TAKEN,
    Costs,
    Savings,
)
from pages._shared import cached_answers, frame, listing, session, widgets, worked_out
from pages._shared.session import View

FEWEST_HULLS = 5
WHOSE_PRICES = {
    OWN: "",
    PARTLY_OWN: "Some prices are not this fleet's own but taken for granted, as said below.",
    TAKEN: "**Not this fleet's money:** it has no prices of its own, so those below are taken for "
    "granted; the rules can be told apart by pull-outs and days past the limit alone.",
}
WORKED_OUT = (
    "**What it cost** is added up from what the logs say was done in the year, at the register's "
    "prices. No log says how long a job took, so work is the register's minutes, with "
    "`haul_hours` for each pull-out, at the fleet's wage. Lost hire is every hire booked over a "
    "change on which the hull did not go out.",
    "**What the plan saves** is worked through seasons drawn from the forecast: the same wear and "
    "the same looks once under the plan's rule (out before the chance of a worn anode is more "
    "than the fleet tolerates) and once under each rule of thumb.",
    "**The rules of thumb** are each at their best for this fleet: *calendar* and *hours* replace "
    "a position at the age at which replacing costs least over its lives, the same age for all "
    "hulls. All three also take out what a reading shows at its limit.",
)
MONEY = ("parts", "labour", "looking", "lost_hire")


def show(seen: View, answer: Appraisal) -> None:
    """Answer first, then the picture, the moorings, the visits, and what the plan saves."""
    costs = cached_answers.costs(seen)
    widgets.say(_sentence(costs, answer))
    for line in costs.not_known:
        st.caption(f"Not in the sums: {formatting.plain(line)}")
    if costs.table["total"].notna().any():
        _picture(seen, costs, answer)
    _moorings(seen, costs, answer)
    _visits(costs, answer)
    _against_rules(seen, answer)
    worked_out.explain(answer.logbook, *WORKED_OUT)


def _sentence(costs: Costs, answer: Appraisal) -> str:
    every = costs.table.iloc[-1]
    zone, currency = answer.logbook.settings.timezone, answer.logbook.settings.currency
    since = f"from {formatting.day(costs.first, zone)} to {formatting.day(costs.last, zone)}"
    outs, changes, looks = (int(every[name]) for name in ("visits", "changes", "looks"))
    did = f"{formatting.count(outs, 'pull-out')} and {formatting.count(changes, 'change')}"
    if pd.isna(every["total"]):
        return (
            f"**What anode work cost is not known:** nothing that was done has a price. "
            f"{did} {since}."
        )
    hull, hour, whole = (
        formatting.plain(formatting.price(every[name], currency))
        for name in ("per_hull_season", "per_hire_hour", "total")
    )
    return (
        f"**Anode work cost {hull} a hull, {hour} an hour of hire** {since}: {did}, "
        f"{formatting.count(looks, 'look')}; {whole} in all."
    )


def _picture(seen: View, costs: Costs, answer: Appraisal) -> None:
    currency = answer.logbook.settings.currency
    names = _names(answer)
    shown = _comparable(costs)
    shown = shown.assign(mooring=[names.get(m, m) for m in shown["mooring_id"]])
    widgets.picture(
        cached_answers.picture(
            seen,
            "costs",
            draw=lambda: charts.costs_by_mooring(shown, currency, dark=session.is_dark()),
        ),
        "costs_by_mooring",
        "What a hull and season of anode work cost at each mooring, by what it went on. The list "
        "below says the same.",
    )  # fmt: skip


def _names(answer: Appraisal) -> dict[str, str]:
    table = answer.logbook.moorings.drop_duplicates("mooring_id", keep="last")
    named = table["name"].where(table["name"].notna(), table["mooring_id"])
    return {**dict(zip(table["mooring_id"], named, strict=True)), EVERYWHERE: "All moorings"}


def _comparable(costs: Costs) -> pd.DataFrame:
    """Leave out moorings with so few hulls that a number would speak of one boat."""
    table = costs.table
    return table[(table["hulls"] >= FEWEST_HULLS) | (table["mooring_id"] == EVERYWHERE)]


def _moorings(seen: View, costs: Costs, answer: Appraisal) -> None:
    st.header("By mooring")
    names, shown = _names(answer), _comparable(costs)
    listing.show(
        ("Mooring", "A hull-season", "A hire hour", "An engine hour", "Parts", "Changing",
         "Looking", "Lost hire"),
        [_mooring(row, names) for row in shown.to_dict("records")],
        "costs",
        f"{_unit(answer)}A hire hour: cast-off to back.",
    )  # fmt: skip
    widgets.flushing_beside(cached_answers.flushing_done(seen), answer)
    few = len(costs.table) - len(shown)
    if few:
        st.caption(f"Not compared, under {FEWEST_HULLS} hulls: {formatting.count(few, 'mooring')}.")
    widgets.download(costs.table, "costs", "Costs as CSV")


def _unit(answer: Appraisal) -> str:
    currency = answer.logbook.settings.currency
    return f"Amounts in {currency}. " if currency else ""


def _mooring(row: dict[str, Any], names: dict[str, str]) -> listing.Row:
    did = (
        f"{formatting.count(row['hulls'], 'hull')}, "
        f"{formatting.count(int(row['changes']), 'change')}, "
        f"{formatting.count(int(row['looks']), 'look')}"
    )
    name = names.get(row["mooring_id"], row["mooring_id"])
    each = ("per_hull_season", "per_hire_hour", "per_engine_hour", *MONEY)
    return listing.Row(
        (
            listing.strong(name, did),
            *(listing.text(formatting.number(row[column])) for column in each),
        )
    )


def _visits(costs: Costs, answer: Appraisal) -> None:
    if costs.visits.empty:
        return
    with st.expander(f"The {formatting.count(len(costs.visits), 'pull-out')} behind it"):
        zone = answer.logbook.settings.timezone
        rows = [
            listing.Row(
                (
                    listing.strong(formatting.day(row["day"], zone), row["hull_id"]),
                    listing.text(row["mooring_id"] or "not known"),
                    listing.text(row["changes"]),
                    listing.text(formatting.number(row["hours"])),
                    *(
                        listing.text(formatting.number(row[c]))
                        for c in ("parts", "labour", "lost_hire")
                    ),
                ),
                str(row["hull_id"]),
            )
            for row in costs.visits[::-1][:100].to_dict("records")
        ]
        listing.show(
            ("Day", "Mooring", "Changes", "Hours", "Parts", "Work", "Lost hire"),
            rows,
            "visits",
            "The latest on top, a hundred at most; press a row for the hull. Hours are the "
            "register's, not a clock's.",
        )
        widgets.download(costs.visits, "pull_outs", "Pull-outs as CSV")


def _against_rules(seen: View, answer: Appraisal) -> None:
    st.header("What the plan saves")
    savings = cached_answers.savings(seen)
    currency = answer.logbook.settings.currency
    st.markdown(_saved(savings, answer))
    widgets.picture(
        cached_answers.picture(
            seen, "savings",
            draw=lambda: charts.costs_by_rule(savings.table, currency, dark=session.is_dark()),
        ),
        "costs_by_rule",
        "What each rule would cost over the coming weeks, as ranges. The list below says the same.",
    )  # fmt: skip
    listing.show(
        ("Rule", "Pull-outs", "Anode-days past limit", "Cost", "The plan saves against it"),
        [_rule(row) for row in savings.table.to_dict("records")],
        "savings",
        f"{_unit(answer)}The coming {savings.weeks} weeks; ranges hold 8 of 10 of "
        f"the {savings.draws} "
        "seasons drawn from the forecast.",
    )
    st.caption(
        "Every rule gets the same looks, and a bay whenever it asks for one. Calendar and hours "
        "are set at the ages that cost this fleet least, which no yard knows so well."
    )
    for line in savings.assumed:
        st.caption(formatting.plain(line))
    widgets.download(savings.table, "savings", "Rules as CSV")


def _saved(savings: Savings, answer: Appraisal) -> str:
    """Say for each rule what the plan's rule saves against it, also when it does not."""
    currency = answer.logbook.settings.currency
    sentences = [_against(row, currency) for row in savings.table[1:].to_dict("records")]
    return " ".join(filter(None, [WHOSE_PRICES[savings.basis], *sentences]))


def _against(row: dict[str, Any], currency: str) -> str:
    name = row["rule"]
    if row["verdict"] == CANNOT_TELL:
        return f"Against **{name}** it **cannot be told** whether the plan saves."
    low, high = sorted((abs(row["saved_low"]), abs(row["saved_high"])))
    span = formatting.span(low, abs(row["saved_likely"]), high, "", formatting.plain(currency))
    does = "saves" if row["verdict"] == SAVES else "costs more, by"
    return f"Against **{name}** the plan **{does}** {span}."


def _rule(row: dict[str, Any]) -> listing.Row:
    def span(name: str) -> str:
        return formatting.span(row[f"{name}_low"], row[f"{name}_likely"], row[f"{name}_high"], "")

    saved = ""
    if isinstance(row["verdict"], str):
        saved = f"{row['verdict']}: {_signed(row['saved_low'])} to {_signed(row['saved_high'])}"
    return listing.Row(
        (
            listing.strong(row["rule"]),
            *(listing.text(span(name)) for name in ("pull_outs", "past_days", "cost")),
            listing.text(saved),
        )
    )


def _signed(amount: float) -> str:
    """Write an amount with a true minus sign where it is below nought."""
    return (
        f"\N{MINUS SIGN}{formatting.number(-amount)}" if amount < 0 else formatting.number(amount)
    )


frame.page("Costs", show)
