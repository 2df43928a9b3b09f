"""The cached questions that pages ask of the core.

Answers are shared: read them, never change them. An answer is kept for one state of the logs.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from corrosion.chemistry import OnRecord, chemistry_on_record
from corrosion.common import Refusal
from corrosion.comparison import (
    Bill,
    FlushingReport,
    MooringStudy,
    Move,
    Policy,
    bill_of_policy,
    move_hulls,
    outcome_of_policy,
    report_on_flushing,
    study_moorings,
)
from corrosion.data_entry import (
    ALL,
    Desk,
    Round,
    RoundAddress,
    desk_of,
    entered_later,
    expected_sizes,
    scheduled_round,
    walk_round,
    whole_round,
)
from corrosion.forecast import Appraisal, WhatIf, appraise, look_ahead, odd_ones
from corrosion.forecast import what_if as work_out_what_if
from corrosion.records import (
    Checked,
    Raw,
    check_logs,
    export_zip,
    fingerprint,
    read_file,
    read_fleet,
)
from corrosion.reports import (
    Dossier,
    FleetTable,
    Paper,
    PlannedWeek,
    charts,
    dossier,
    fleet_table,
    hull_report,
    plan_week,
)
from corrosion.workshop import (
    Costs,
    FlushingDone,
    Looks,
    Parts,
    Plan,
    Preview,
    PriceOfLooking,
    Savings,
    add_up_costs,
    add_up_flushing,
    compare_rules,
    count_parts,
    preview_decision,
    price_of_looking,
    schedule_looks,
)
from pages._shared import session, under_way
from pages._shared.caching import Key, cached, key_of, remembered


@cached(12, "Reading the logs and fitting the wear of every anode …")
def appraisal(key: Key) -> Appraisal:
    """Appraise the fleet; a Refusal where its logs are missing, refused, or too thin.

    Horizons share one fit, so that a week and a month ahead are of the same moment.
    """
    if key != (first := key.at(session.HORIZONS[0])):
        return look_ahead(appraisal.of(first), key.days)
    last = None if key.on else remembered(key.folder, "forecast")  # a look back is another moment
    return appraise(key.folder, key.on, key.days, key.widen, last)


@cached(200)
def hull(key: Key, hull_id: str) -> Dossier | None:
    """Give everything about one hull, or None when the fleet has no such hull."""
    return dossier(appraisal.of(key), hull_id)


@cached(12)
def fleet(key: Key) -> FleetTable:
    """Say where every hull stands, and what the weeks ahead bring."""
    return fleet_table(appraisal.of(key))


@cached(60)
def hull_story(key: Key, hull_id: str, paper: Paper) -> str:
    """Write one hull's whole story as a page that prints."""
    return hull_report(appraisal.of(key), hull_id, paper)


@cached(
    16,
    "Looking for the cheapest plan: each hull on each day in each bay …",
    any_horizon=True,
    beside=True,
)
def week(key: Key, day: date | None) -> PlannedWeek:
    """Plan the pull-outs from a week on; None: the next one; a Refusal where it is out of reach.

    A plan is one plan, however far somebody looks ahead. The day is always named: what is left to
    a default is kept as another question's answer.
    """
    now = appraisal.of(key)
    return plan_week(now, day, under_way.teller(now.logbook.settings.currency, key, day))


@cached(24, "Making the plan as if it were decided …", any_horizon=True)
def preview(key: Key, change: str, hull_id: str, day: date, monday: date, _plan: Plan) -> Preview:
    """Say what would follow from a decision beside the plan of a week; nothing is written."""
    return preview_decision(appraisal.of(key), _plan, change, hull_id, day)


@cached(8, any_horizon=True)
def odd(key: Key) -> pd.DataFrame:
    """List the odd anodes, hulls and berths."""
    return odd_ones(appraisal.of(key))


@cached(8, "Working out when a look is worth its minutes …", any_horizon=True)
def looks(key: Key) -> Looks:
    """Say when to look at each anode next, beside the week's plan."""
    return schedule_looks(appraisal.of(key), week.of(key, None).plan)


@cached(8, "Working lives through, looked at more and less often …", any_horizon=True)
def look_prices(key: Key) -> PriceOfLooking:
    """Work out what looking costs by how often it is done."""
    return price_of_looking(appraisal.of(key))


@cached(24, "Working it out under that assumption …")
def what_if(key: Key, worse_by: float, false_flushes: float) -> WhatIf:
    """Work the forecast out under other assumptions."""
    return work_out_what_if(appraisal.of(key), worse_by, false_flushes)


@cached(8, any_horizon=True)
def costs(key: Key) -> Costs:
    """Add up what anode work has cost."""
    return add_up_costs(appraisal.of(key))


@cached(8, any_horizon=True)
def flushing_done(key: Key) -> FlushingDone:
    """Add up what the flushes took in the stretch that the costs are of."""
    bill = costs.of(key)
    return add_up_flushing(appraisal.of(key), bill.first, bill.last)


@cached(8, "Counting the parts …", any_horizon=True)
def parts(key: Key) -> Parts:
    """Say what parts the coming weeks take."""
    return count_parts(appraisal.of(key))


@cached(8, "Working four rules through the coming half year …", any_horizon=True)
def savings(key: Key) -> Savings:
    """Work the rules through the coming half year."""
    return compare_rules(appraisal.of(key))


@cached(8, "Comparing flushed and unflushed hours …", any_horizon=True)
def flushing(key: Key) -> FlushingReport:
    """Judge flushing, with everything that stands behind the verdict."""
    return report_on_flushing(appraisal.of(key))


@cached(64, any_horizon=True)
def flush_bill(key: Key, policy: Policy, minutes: float) -> Bill:
    """Work out what a flushing policy costs and spares over a year."""
    checked, verdict = appraisal.of(key).checked, flushing.of(key).verdict
    outcome = outcome_of_policy(verdict, policy, checked.logbook.settings.timezone)
    return bill_of_policy(outcome, checked, minutes)


@cached(8, "Comparing the moorings …", any_horizon=True)
def moorings(key: Key) -> MooringStudy:
    """Compare the fleet's moorings."""
    return study_moorings(appraisal.of(key))


@cached(40, "Working out the move …")
def move(key: Key, hulls: tuple[str, ...], to: str, stays: str) -> Move:
    """Say what moving hulls would change; TooLittle where nobody ever lay there."""
    return move_hulls(appraisal.of(key), hulls, to, stays)


@cached(8, any_horizon=True)
def chemistry(key: Key) -> OnRecord:
    """Read the potentials and contact resistances on record."""
    return chemistry_on_record(appraisal.of(key).logbook)


@st.cache_resource(max_entries=400, ttl="30m", show_spinner=False)
def _picture(about: tuple[object, ...], _draw: Callable[[], go.Figure]) -> go.Figure:
    return charts.names_as_text(_draw())


def picture(seen: session.View, *about: object, draw: Callable[[], go.Figure]) -> go.Figure:
    """Draw a figure once for each state of the logs, names as text; `about` tells it apart."""
    return _picture((key_of(seen), *about, session.is_dark()), draw)


@st.cache_resource(max_entries=4, ttl="30m", show_spinner=False)
def _checked(logs: str, folder: str) -> Checked:
    with remembered(folder, "desk").turned() as last:
        return check_logs(read_fleet(folder, remembered=last), remembered=last)


# by the day: what an anode should measure moves little by an entry; wet hands wait for no fit
@st.cache_resource(max_entries=8, ttl="6h", show_spinner=False)
def _expected(folder: str, day: str) -> pd.DataFrame:
    return expected_sizes(
        appraisal.of(key_of(session.View(Path(folder), None, session.HORIZONS[0])))
    )


def desk(folder: Path) -> Desk:
    """Sit down at the desk of a fleet, forecast or no forecast; a Refusal without its logs."""
    with st.spinner("Reading the logs …", show_time=True):
        return newest_desk(folder)


def newest_desk(folder: Path) -> Desk:
    """Sit down at the desk without a word on the page, where a second tap would stop the script."""
    now, checked = pd.Timestamp.now("UTC"), _checked(fingerprint(folder), str(folder))
    try:
        expected = _expected(str(folder), now.strftime("%Y-%m-%d"))
    except (Refusal, ArithmeticError, ValueError):  # whatever the model says, writing goes on
        expected = None
    return desk_of(checked, expected, now)


# by its beginning: what is written on the way changes no list, and no fit stands between two anodes
@st.cache_resource(max_entries=16, ttl="24h", show_spinner=False)
def _looks_when(folder: str, began: pd.Timestamp) -> Looks:
    key = key_of(session.View(Path(folder), None, session.HORIZONS[0]))
    if entered_later(_checked(fingerprint(folder), folder).logbook, began):
        key = replace(key, logs="as they were then", on=began.isoformat())
    return looks.of(key)


def round_of(folder: Path, desk: Desk, address: RoundAddress) -> Round:
    """Say how far a round has come; a Refusal where no schedule of looks can be made."""
    if address.listed == ALL:
        return walk_round(whole_round(desk, address.mooring_id, address.began), desk, address)
    with st.spinner("Reading what is to be measured there …", show_time=True):
        known_then = _looks_when(str(folder), address.began)
    return walk_round(scheduled_round(known_then, address.mooring_id), desk, address)


@st.cache_data(max_entries=2, show_spinner=False)
def _exported(logs: str, folder: str, form: str) -> bytes:
    return export_zip(Path(folder), "parquet" if form == "parquet" else "csv")


def exported(folder: Path, form: str) -> bytes:
    """Zip every log with its history, as CSV or Parquet."""
    return _exported(fingerprint(folder), str(folder), form)


def warm() -> None:
    """Answer the first visitor's question before it is asked; a refusal waits for the page."""
    folder = Path(os.environ["FLEET_LOGS"]) if session.folder_is_fixed() else session.DEMO
    if folder.is_dir():
        with suppress(Refusal):
            week.of(key_of(session.View(folder, None, session.HORIZONS[0])), None)


@st.cache_resource(max_entries=4, ttl="30m", show_spinner="Reading the file …")
def cells_of_file(content: bytes, name: str, sheet: str | None) -> Raw:
    """Read the cells of a file that is brought in; once, however often its page is drawn."""
    return read_file(content, name, sheet)
