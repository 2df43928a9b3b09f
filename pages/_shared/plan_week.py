"""The week's plan: one picture, then one line a hull, then what follows from it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.forecast import Appraisal
from corrosion.reports import PlannedWeek, draw_week, told_before, week_days
from corrosion.workshop import Plan
from pages._shared import (
    cached_answers,
    listing,
    plan_change,
    plan_issued,
    plan_papers,
    plan_sums,
    widgets,
)
from pages._shared.caching import written_once
from pages._shared.session import View

KINDS = {"measure-first": "measure first", "look": "look only"}
SHOWN_LEFT = 12
SHOWN_OUT = 10
CHANGES = {"move": "moves", "cancel": "is cancelled", "look-first": "waits for a look"}


def ask(seen: View) -> PlannedWeek | None:
    """Let a week be chosen, and plan it; None where there is no plan, which is said."""
    week = _week()
    try:
        return cached_answers.week(seen, week)
    except Refusal as refusal:
        st.warning(formatting.plain(refusal))
        return None


def show(seen: View, planned: PlannedWeek, answer: Appraisal) -> None:
    """Draw the week, list each hull, and offer what follows from it."""
    plan = planned.plan
    if plan.conflict:
        st.warning(f"**What the pins want does not fit.** {formatting.plain(plan.conflict)}")
    _picture(planned)
    _hulls(planned, answer)
    plan_issued.changes(planned, answer)
    plan_papers.show(planned, answer)
    _hires(planned, answer)
    plan_change.show(seen, planned, answer)
    _left_out(planned.left, answer)
    plan_sums.show(planned, answer)
    widgets.cautions_in_short()


def _week() -> date | None:
    """Let the reader choose a week by any of its days; the address keeps it."""
    asked = st.query_params.get("week")
    chosen = st.date_input(
        "Week of",
        value=None,
        format="YYYY-MM-DD",
        key="week",
        width=220,
        bind="query-params",
        help="Any day of the week. Empty: the week that can still be worked on.",
    )
    if asked and chosen is None:
        st.warning(
            f"The week in the address, {formatting.plain(asked)}, cannot be read; next shown."
        )
    return chosen


def sentence(planned: PlannedWeek, answer: Appraisal) -> str:
    """Say how many must not sail, come out, wait, and which hires change."""
    plan, out = planned.plan, len(planned.pulls)
    stopped = int((answer.forecast.hulls["stop"] != "").sum())
    start = f"{formatting.count(stopped, 'hull')} must not be hired out. " if stopped else ""
    who = f"{formatting.count(out, 'hull')} {'comes' if out == 1 else 'come'} out"
    start += f"{who if out else 'No hull comes out'}, {week_days(plan.week)}"
    wait = len(plan.obstacles)
    waiting = f"; {wait} more ought to and {'waits' if wait == 1 else 'wait'}" if wait else ""
    return f"**{start}{waiting}.**"


def hires_and_proof(plan: Plan) -> str:
    """Say how many hires change, and how sure it is that no plan is cheaper."""
    counts = plan.hires["change"].value_counts()
    moved = [
        f"{formatting.count(int(counts[kind]), 'hire')} "
        f"{CHANGES[kind] if counts[kind] == 1 else _several(kind)}"
        for kind in CHANGES
        if kind in counts
    ]
    hires = f"{formatting.listed(moved)} within two weeks. " if moved else ""
    return f"{hires}{_sure(plan)}"


def _several(kind: str) -> str:
    return {"move": "move", "cancel": "are cancelled", "look-first": "wait for a look"}[kind]


def _sure(plan: Plan) -> str:
    """Say how sure it is that no plan is cheaper."""
    took = f"found in {formatting.number(max(plan.seconds, 0.1))} s"
    if plan.proven:
        return f"Proven cheapest under your rules ({took})."
    within = max(100.0 * plan.gap, 0.1)
    return f"Within {within:.1f} % of the cheapest plan under your rules ({took})."


def _picture(planned: PlannedWeek) -> None:
    """Draw the hulls that matter, the week's days across."""
    if planned.lanes.lanes:
        parameters = tuple(listing.kept_address().items())
        html = written_once((planned,), "week_picture", parameters, write=lambda: _drawn(planned))
        listing.press(html, "week_picture")


def _drawn(planned: PlannedWeek) -> str:
    lanes = planned.lanes
    return draw_week(lanes, {lane.hull_id: listing.address(lane.hull_id) for lane in lanes.lanes})


def _hulls(planned: PlannedWeek, answer: Appraisal) -> None:
    """List every hull that is stopped, ought to come out, or does: one line each."""
    parameters = tuple(listing.kept_address().items())
    shown, folded, more = written_once(
        (planned, answer), "week_hulls", parameters, write=lambda: _hull_lists(planned, answer)
    )
    if shown:
        listing.press(shown, "pulls")
    if folded:
        with st.expander(f"{formatting.count(more, 'hull')} more, by chance"):
            listing.press(folded, "more_pulls")


def _hull_lists(planned: PlannedWeek, answer: Appraisal) -> tuple[str, str, int]:
    """Write the list as it is shown, what is folded of it, and how many hulls that is."""
    forecast = answer.forecast.hulls.set_index("hull_id")
    out = {str(row["hull_id"]): row for row in planned.pulls.to_dict("records")}
    waits = {str(row["hull_id"]): row for row in planned.plan.obstacles.to_dict("records")}
    names = [name for name in forecast.index if name in out or name in waits]
    names.sort(key=lambda name: (forecast.loc[name, "stop"] == "", -forecast.loc[name, "risk"]))
    metal = _metal(forecast.loc[names, "worst_position"], answer)
    rows = [
        _hull(str(name), forecast.loc[name], metal.get(name, ""), out.get(name), waits.get(name),
              answer)
        for name in names
    ]  # fmt: skip
    headings = ("Hull", "Chance", "Metal left", "Pull by", "What is done")
    caption = "Every hull that must not sail, comes out, or ought to. Press a hull."
    shown = SHOWN_OUT if len(rows) > SHOWN_OUT + 1 else len(rows)  # no fold for a single line
    more = rows[shown:]
    return (
        listing.written(headings, rows[:shown], caption) if rows else "",
        listing.written(headings, more, "As above, the riskiest first.") if more else "",
        len(more),
    )


def _hull(
    name: str, hull: Any, metal: str, pull: dict[Any, Any] | None, wait: dict[Any, Any] | None,
    answer: Appraisal,
) -> listing.Row:  # fmt: skip
    settings = answer.logbook.settings
    by = formatting.deadline(hull["pull_by"], answer.forecast.on, settings.timezone)
    under, why = widgets.where(hull), _why(hull, pull)
    return listing.Row(
        (
            listing.strong(name, under),
            listing.chance(hull["risk"], settings.tolerated_risk),
            metal,
            listing.unbroken(by),
            listing.wide(_out(pull, why, answer) if pull else _waits(wait, why)),
        ),
        opens=name,
    )


def _metal(worst: pd.Series, answer: Appraisal) -> dict[str, str]:
    """Draw what is left of each hull's worst anode, and name it; all in one look-up."""
    marked = worst.reset_index().rename(columns={"worst_position": "position"})
    columns = ["hull_id", "position", "worn", "worn_low", "worn_high", "last_worn"]
    anodes = marked.merge(answer.forecast.anodes[columns], on=["hull_id", "position"])
    return {row.hull_id: listing.metal(row, str(row.position)) for row in anodes.itertuples()}


def _out(pull: dict[Any, Any], why: str, answer: Appraisal) -> str:
    zone = answer.logbook.settings.timezone
    when = formatting.day(pull["day"], zone, year=False)
    if pd.notna(pull["starts"]):
        when += f" {pull['starts'].tz_convert(zone):%H:%M}"
    pinned = "; pinned" if pull["pinned"] else ""
    left = "" if pull["lifts_stop"] or not pull["stop"] else "; the stop stays"
    return listing.strong(f"out {when}, bay {pull['bay']}{pinned}{left}", work(pull), why)


def _waits(wait: dict[Any, Any] | None, why: str) -> str:
    if wait is None:
        return why
    release = _capital(wait["release"])
    return listing.strong(f"not this week: {wait['not_this_week']}", release, why)


def _why(hull: Any, pull: dict[Any, Any] | None) -> str:
    """Give the reasons, folded, in the line that they are the reasons of."""
    first = f"{_capital(str(hull['stop_why']))}. " if hull["stop"] else ""
    if pull is None:
        return listing.unfolds("why", listing.text(f"{first}{hull['why']}"))
    after = f"With the work done: {formatting.chance(pull['risk_after'])}."
    change = f"{_capital(pull['would_change'])}." if pull["would_change"] else ""
    more = [first.strip(), f"{pull['why']}.", after, pull["slip"], change]
    return listing.unfolds("why", listing.text(" ".join(each for each in more if each)))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def work(pull: dict[Any, Any]) -> str:
    """Say what is done on a pull-out."""
    tasks = [f"replace {formatting.listed(list(pull['replace']))}"] if pull["replace"] else []
    tasks += [f"measure {formatting.listed(list(pull['measure']))}"] if pull["measure"] else []
    kind = f"{KINDS[pull['kind']]}: " if pull["kind"] in KINDS else ""
    parts = ", ".join(f"{pieces} × {part}" for part, pieces in pull["parts"].items())
    takes = f"{formatting.number(pull['hours'])} h{f'; {parts}' if parts else ''}"
    done = "; ".join(tasks) or "look at every anode"
    return f"{_capital(f'{kind}{done}')}; {takes}"


def _hires(planned: PlannedWeek, answer: Appraisal) -> None:
    """List the hires that change, for the desk, and whether it was told so."""
    plan = planned.plan
    if plan.hires.empty:
        return
    zone, currency = answer.logbook.settings.timezone, answer.logbook.settings.currency
    with st.expander(f"Hires to change: {len(plan.hires)}", key="hires_to_change"):
        rows = [
            listing.Row(
                (
                    listing.strong(row.hull_id, formatting.moment(row.starts, zone)),
                    listing.strong(
                        f"moves to {row.to_hull_id}" if row.to_hull_id else CHANGES[row.change],
                        told_before(row.hull_id, row.starts, planned.told, zone),
                    ),
                    listing.text(formatting.price(row.cost, currency)),
                    listing.wide(listing.text(row.why)),
                ),
                opens=row.hull_id,
            )
            for row in plan.hires.itertuples()
        ]
        headings = ("Hull and start", "Change", "Cost", "Why")
        caption = "Every other hire stays where it is booked."
        listing.show(headings, rows, "hires", caption)
        widgets.download(plan.hires, "hires", "Hires to change as CSV")


def _left_out(left: pd.DataFrame, answer: Appraisal) -> None:
    """List the hulls that stay, riskiest first, each with its reason."""
    if left.empty:
        return
    hulls = formatting.count(len(left), "hull")
    with st.expander(f"Left out that week: {hulls}, each with its reason"):
        every = len(left) <= SHOWN_LEFT or st.toggle(f"All {len(left)}", key="all_left")
        shown = left if every else left[:SHOWN_LEFT]
        rows = [_left_row(row, answer) for row in shown.itertuples()]
        listing.show(
            ("Hull", "Chance by the end of that week", "Pull by", "Why not"),
            rows,
            "left_out",
            "Riskiest first. Press a row for the hull.",
        )
        widgets.download(left, "left_out", "Left out as CSV")


def _left_row(row: Any, answer: Appraisal) -> listing.Row:
    settings = answer.logbook.settings
    by = formatting.deadline(row.pull_by, answer.forecast.on, settings.timezone)
    why = row.reason
    if row.not_this_week:
        why = f"{row.not_this_week}.{f' {_capital(row.release)}' if row.release else ''}"
    return listing.Row(
        (
            listing.strong(row.hull_id, row.mooring_id or "berth not known"),
            listing.chance(row.risk_now, settings.tolerated_risk),
            listing.unbroken(formatting.FAR_OFF if by == "not known" else by),
            listing.wide(listing.text(why)),
        ),
        opens=row.hull_id,
    )
