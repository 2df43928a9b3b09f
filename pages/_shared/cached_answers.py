"""The cached questions that pages ask of the core.

Nothing else in `pages/` caches. Answers are shared between visitors: read them, never change them.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from corrosion.chemistry import measured_meanings, potential_drift
from corrosion.common import Refusal
from corrosion.comparison import Bill, Move, Policy, Report, Study, bill, outcome, report
from corrosion.comparison import move as what_if_moved
from corrosion.comparison import study as study_moorings
from corrosion.data_entry import Desk, desk_of, expected_sizes
from corrosion.forecast import (
    Appraisal,
    Record,
    WhatIf,
    appraise,
    odd_ones,
    remembered,
    track_record,
)
from corrosion.forecast import what_if as work_out_what_if
from corrosion.records import Checked, check_logs, export_zip, fingerprint, read_fleet
from corrosion.reports import Dossier, Paper, PlannedWeek, dossier, hull_report, plan_week
from corrosion.workshop import Costs, Parts, Savings
from corrosion.workshop import costs as add_up_costs
from corrosion.workshop import parts as count_parts
from corrosion.workshop import savings as compare_rules
from pages._shared import session


@dataclass(frozen=True)
class Chemistry:
    """What was measured with meter and reference electrode: meanings, drift, newest potentials."""

    measured: pd.DataFrame
    drift: pd.DataFrame
    last_potentials: pd.DataFrame


# half an hour: a live fleet's "now" moves on although its logs may not
@st.cache_resource(max_entries=12, ttl="30m", show_spinner=False)
def _appraisal(logs: str, place: str, on: str | None, days: int) -> Appraisal:
    answer = appraise(place, on, days)
    known = remembered(place, on)
    factor = 1.0 if known is None else known.widening.factor
    if factor == 1.0:
        return answer
    return replace(answer, forecast=work_out_what_if(answer, widen=factor).forecast)


@st.cache_resource(max_entries=200, ttl="30m", show_spinner=False)
def _dossier(logs: str, place: str, on: str | None, days: int, hull_id: str) -> Dossier | None:
    return dossier(_appraisal(logs, place, on, days), hull_id)


def appraisal(seen: session.View) -> Appraisal:
    """Appraise the fleet, once for each state of its logs; says that it works when it takes long.

    Raises
    ------
    Refusal
        The logs are missing, refused, or too thin.
    """
    key = _key(seen)
    with st.spinner("Reading the logs and fitting the wear of every anode …", show_time=True):
        return _appraisal(*key)


def hull(seen: session.View, hull_id: str) -> Dossier | None:
    """Give everything about one hull, or None when the fleet has no such hull."""
    return _dossier(*_key(seen), hull_id)


@st.cache_resource(max_entries=8, ttl="30m", show_spinner=False)
def _flush_report(logs: str, place: str, on: str | None) -> Report:
    return report(_appraisal(logs, place, on, session.HORIZONS[0]))


def flushing(seen: session.View) -> Report:
    """Judge flushing, with everything that stands behind the verdict."""
    with st.spinner("Comparing flushed and unflushed hours …", show_time=True):
        return _flush_report(*_key(seen)[:3])


@st.cache_resource(max_entries=64, ttl="30m", show_spinner=False)
def _flush_bill(logs: str, place: str, on: str | None, policy: Policy, minutes: float) -> Bill:
    answer = _appraisal(logs, place, on, session.HORIZONS[0])
    done = outcome(_flush_report(logs, place, on).verdict, policy, answer.logbook.settings.timezone)
    return bill(done, answer.checked, minutes)


def flush_bill(seen: session.View, policy: Policy, minutes: float) -> Bill:
    """Work out what a flushing policy costs and spares over a year."""
    return _flush_bill(*_key(seen)[:3], policy, minutes)


@st.cache_resource(max_entries=16, ttl="30m", show_spinner=False)
def _week(logs: str, place: str, on: str | None, days: int, week: date | None) -> PlannedWeek:
    return plan_week(_appraisal(logs, place, on, days), week)


def week(seen: session.View, day: date | None = None) -> PlannedWeek:
    """Plan the pull-outs from a week on, once for each state of the logs; None: the next one.

    Raises
    ------
    Refusal
        The week is over, or too far ahead.
    """
    key = _key(seen)
    with st.spinner("Looking for the cheapest plan: each hull on each day in each bay …",
                    show_time=True):  # fmt: skip
        return _week(*key, day)


@st.cache_resource(max_entries=8, ttl="30m", show_spinner=False)
def _moorings(logs: str, place: str, on: str | None, days: int) -> Study:
    return study_moorings(_appraisal(logs, place, on, days))


@st.cache_resource(max_entries=40, ttl="30m", show_spinner=False)
def _move(
    logs: str, place: str, on: str | None, days: int, hulls: tuple[str, ...], to: str, stays: str
) -> Move:
    return what_if_moved(_appraisal(logs, place, on, days), hulls, to, stays)


@st.cache_resource(max_entries=8, ttl="30m", show_spinner=False)
def _costs(logs: str, place: str, on: str | None, days: int) -> Costs:
    return add_up_costs(_appraisal(logs, place, on, days))


def costs(seen: session.View) -> Costs:
    """Add up what anode work has cost."""
    return _costs(*_key(seen))


def moorings(seen: session.View) -> Study:
    """Compare the fleet's moorings."""
    with st.spinner("Comparing the moorings …", show_time=True):
        return _moorings(*_key(seen))


def move(seen: session.View, hulls: tuple[str, ...], to: str, stays: str) -> Move:
    """Say what moving hulls would change.

    Raises
    ------
    TooLittle
        Nobody ever lay there.
    """
    with st.spinner("Working out the move …", show_time=True):
        return _move(*_key(seen), hulls, to, stays)


@st.cache_resource(max_entries=12, ttl="30m", show_spinner=False)
def _odd(logs: str, place: str, on: str | None, days: int) -> pd.DataFrame:
    return odd_ones(_appraisal(logs, place, on, days))


def odd(seen: session.View) -> pd.DataFrame:
    """List the odd anodes, hulls and berths."""
    return _odd(*_key(seen))


@st.cache_resource(max_entries=24, ttl="30m", show_spinner=False)
def _what_if(
    logs: str, place: str, on: str | None, days: int, worse_by: float, false_flushes: float
) -> WhatIf:
    return work_out_what_if(_appraisal(logs, place, on, days), worse_by, false_flushes)


def what_if(seen: session.View, worse_by: float, false_flushes: float) -> WhatIf:
    """Work the forecast out under other assumptions."""
    with st.spinner("Working it out under that assumption …", show_time=True):
        return _what_if(*_key(seen), worse_by, false_flushes)


@st.cache_resource(max_entries=60, ttl="30m", show_spinner=False)
def _hull_story(
    logs: str, place: str, on: str | None, days: int, hull_id: str, paper: Paper
) -> str:
    return hull_report(_appraisal(logs, place, on, days), hull_id, paper)


def hull_story(seen: session.View, hull_id: str, paper: Paper) -> str:
    """Write one hull's whole story as a page that prints."""
    return _hull_story(*_key(seen), hull_id, paper)


@st.cache_resource(max_entries=8, ttl="30m", show_spinner=False)
def _chemistry(logs: str, place: str, on: str | None, days: int) -> Chemistry:
    logbook = _appraisal(logs, place, on, days).logbook
    known = logbook.readings.dropna(subset=["potential_mv"]).sort_values("read_at", kind="stable")
    last = known.drop_duplicates(["hull_id", "position"], keep="last")
    return Chemistry(measured_meanings(logbook), potential_drift(logbook), last)


def chemistry(seen: session.View) -> Chemistry:
    """Read the potentials and contact resistances on record."""
    return _chemistry(*_key(seen))


def record(seen: session.View) -> Record | None:
    """Give the track record where it was worked out before for these logs, else None."""
    return remembered(seen.folder, None if seen.on is None else seen.on.isoformat())


def make_record(seen: session.View) -> None:
    """Work the track record out, with progress; it is kept on disk for `record`.

    Raises
    ------
    Refusal
        No four weeks of readings are on record.
    """
    bar = st.progress(0.0, "Reading the logs …")

    def tell(done: int, of: int) -> None:
        bar.progress(min(done / max(of, 1), 1.0), f"{done} of {of} past weeks")

    track_record(seen.folder, None if seen.on is None else seen.on.isoformat(), progress=tell)
    bar.empty()
    # the record may ask for wider ranges: what was worked out without it is forgotten
    widened = (_appraisal, _dossier, _odd, _what_if, _week, _move, _hull_story, _parts, _savings)
    for known in widened:
        known.clear()


@st.cache_resource(max_entries=400, ttl="30m", show_spinner=False)
def _picture(about: tuple[object, ...], _draw: Callable[[], go.Figure]) -> go.Figure:
    return _draw()


def picture(seen: session.View, *about: object, draw: Callable[[], go.Figure]) -> go.Figure:
    """Draw a figure once for each state of the logs; `about` tells it from its neighbours."""
    return _picture((*_key(seen), *about, session.is_dark()), draw)


@st.cache_resource(max_entries=4, ttl="30m", show_spinner=False)
def _checked(logs: str, place: str) -> Checked:
    return check_logs(read_fleet(place))


# by the day, not by the logs: what an anode should measure moves little with one more entry, and
# nobody with wet hands waits for a fit after each
@st.cache_resource(max_entries=8, ttl="6h", show_spinner=False)
def _expected(place: str, day: str) -> pd.DataFrame | None:
    try:
        return expected_sizes(
            _appraisal(*_key(session.View(Path(place), None, session.HORIZONS[0])))
        )
    except Refusal:
        return None


def desk(place: Path) -> Desk:
    """Sit down at the desk of a fleet: its newest logs, and what its anodes should measure.

    Raises
    ------
    Refusal
        The logs are missing or refused; too little to forecast is no refusal here.
    """
    with st.spinner("Reading the logs …", show_time=True):
        checked = _checked(fingerprint(place), str(place))
        expected = _expected(str(place), pd.Timestamp.now("UTC").strftime("%Y-%m-%d"))
    return desk_of(checked, expected, pd.Timestamp.now("UTC"))


@st.cache_data(max_entries=2, show_spinner=False)
def _exported(logs: str, place: str, form: str) -> bytes:
    return export_zip(Path(place), "parquet" if form == "parquet" else "csv")


def exported(place: Path, form: str) -> bytes:
    """Zip every log with its history, as CSV or Parquet."""
    return _exported(fingerprint(place), str(place), form)


@st.cache_resource(max_entries=12, ttl="30m", show_spinner=False)
def _parts(logs: str, place: str, on: str | None, days: int) -> Parts:
    return count_parts(_appraisal(logs, place, on, days))


def parts(seen: session.View) -> Parts:
    """Say what parts the coming weeks take, once for each state of the logs."""
    with st.spinner("Counting the parts …", show_time=True):
        return _parts(*_key(seen))


@st.cache_resource(max_entries=12, ttl="30m", show_spinner=False)
def _savings(logs: str, place: str, on: str | None, days: int) -> Savings:
    return compare_rules(_appraisal(logs, place, on, days))


def savings(seen: session.View) -> Savings:
    """Work the rules through the coming half year, once for each state of the logs."""
    with st.spinner("Working four rules through the coming half year …", show_time=True):
        return _savings(*_key(seen))


def warm() -> None:
    """Answer the first visitor's question before it is asked; a refusal waits for the page."""
    place = Path(os.environ["FLEET_LOGS"]) if session.folder_is_fixed() else session.DEMO
    if place.is_dir():
        try:
            _week(*_key(session.View(place, None, session.HORIZONS[0])), None)
        except Refusal:
            return


def _key(seen: session.View) -> tuple[str, str, str | None, int]:
    on = None if seen.on is None else seen.on.isoformat()
    return fingerprint(seen.folder), str(seen.folder), on, seen.days
