"""The one cached question that pages ask of the core, and which fleet and moment it is about.

Nothing else in `pages/` caches. Answers are shared between visitors: read them, never change them.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pandas as pd
import plotly.graph_objects as go
import streamlit as st

from corrosion.appraisal import Appraisal, appraise
from corrosion.checks import Checked, check_logs
from corrosion.costs import Costs
from corrosion.costs import costs as add_up_costs
from corrosion.desk import Desk, desk_of, expected_sizes, has_logs
from corrosion.dossier import Dossier, dossier
from corrosion.errors import Refusal
from corrosion.export import export_zip
from corrosion.flushing import Bill, Policy, Report, bill, outcome, report
from corrosion.hull_report import hull_report
from corrosion.logbook import fingerprint, read_fleet
from corrosion.moorings import Move, Study
from corrosion.moorings import move as what_if_moved
from corrosion.moorings import study as study_moorings
from corrosion.odd import odd_ones
from corrosion.parts import Parts
from corrosion.parts import parts as count_parts
from corrosion.planned_week import PlannedWeek, plan_week
from corrosion.potentials import measured_meanings, potential_drift
from corrosion.record import Record, remembered, track_record
from corrosion.savings import Savings
from corrosion.savings import savings as compare_rules
from corrosion.sheets import Paper
from corrosion.whatif import WhatIf
from corrosion.whatif import what_if as work_out_what_if

DEMO = Path(__file__).parents[1] / "demo_fleet" / "logs"
HORIZONS = (7, 14, 28)
KEPT_FORMS = 200  # typed into and not written; the oldest is forgotten


@dataclass(frozen=True)
class Chemistry:
    """What was measured with meter and reference electrode: meanings, drift, newest potentials."""

    measured: pd.DataFrame
    drift: pd.DataFrame
    last_potentials: pd.DataFrame


@dataclass(frozen=True)
class View:
    """Which logs are looked at, as of when (None: the newest), how many days ahead."""

    folder: Path
    on: date | None
    days: int


@st.cache_resource
def _opened() -> list[Path]:
    """Hold the fleet folder that somebody opened on this server; empty until then."""
    return []


def folder_is_fixed() -> bool:
    """Tell whether whoever started the server chose the fleet, with FLEET_LOGS."""
    return bool(os.environ.get("FLEET_LOGS"))


def folder() -> Path | None:
    """Give the fleet folder to look at: the fixed one, else the one opened, else the demo.

    Somebody who practises on a copy of the demo looks at that copy.
    """
    if st.session_state.get("practice"):
        return Path(st.session_state["practice"])
    if folder_is_fixed():
        return Path(os.environ["FLEET_LOGS"])
    if _opened() and not st.session_state.get("look_at_demo"):
        return _opened()[0]
    return DEMO if DEMO.is_dir() else None


def writable() -> Path | None:
    """Give the fleet folder that forms write to; None for the demo that comes with the program."""
    place = folder()
    return None if place is None or place.resolve() == DEMO.resolve() else place


def is_empty() -> bool:
    """Tell whether the fleet folder is there and holds no log yet."""
    place = folder()
    return place is not None and place.is_dir() and not has_logs(place)


def open_new(typed: str) -> None:
    """Open an empty folder for everybody on this server, to start a fleet in it.

    Raises
    ------
    Refusal
        There is something in it that is no fleet, or the disk would not make it.
    """
    place = Path(typed.strip().strip("\"'")).expanduser()
    try:
        place.mkdir(parents=True, exist_ok=True)
        strange = [path.name for path in place.iterdir() if not path.name.startswith(".")]
    except OSError as error:
        raise Refusal(f"{place}: cannot be made or opened ({error.strerror}).") from error
    if strange:
        raise Refusal(f"{place}: is not empty (first: {min(strange)}). Choose an empty folder.")
    _opened()[:] = [place]
    st.session_state["look_at_demo"] = False


def is_practice() -> bool:
    """Tell whether this session writes into a copy of the demo."""
    return bool(st.session_state.get("practice"))


def practise() -> None:
    """Copy the demo fleet to a temporary folder and open the copy in this session."""
    copy = Path(tempfile.mkdtemp(prefix="practice-")) / "logs"
    shutil.copytree(DEMO, copy)
    st.session_state["practice"] = str(copy)


def is_demo() -> bool:
    """Tell whether the demo fleet that comes with the program is looked at."""
    return folder() == DEMO


def open_folder(typed: str) -> None:
    """Open a fleet folder for everybody on this server; a folder that is refused stays shut."""
    place = Path(typed.strip().strip("\"'")).expanduser()
    fingerprint(place)
    appraise(place, None, HORIZONS[0])
    _opened()[:] = [place]
    st.session_state["look_at_demo"] = False


def open_demo() -> None:
    """Look at the demo fleet in this session only; a copy to practise on is left."""
    st.session_state.pop("practice", None)
    st.session_state["look_at_demo"] = True


def view() -> View | None:
    """Give what the visitor looks at, or None while there is no fleet."""
    place = folder()
    if place is None:
        return None
    days = st.session_state.get("days") or HORIZONS[0]
    return View(place, st.session_state.get("on"), int(days))


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


def appraisal(seen: View) -> Appraisal:
    """Appraise the fleet, once for each state of its logs; says that it works when it takes long.

    Raises
    ------
    Refusal
        The logs are missing, refused, or too thin.
    """
    key = _key(seen)
    with st.spinner("Reading the logs and fitting the wear of every anode …", show_time=True):
        return _appraisal(*key)


def hull(seen: View, hull_id: str) -> Dossier | None:
    """Give everything about one hull, or None when the fleet has no such hull."""
    return _dossier(*_key(seen), hull_id)


@st.cache_resource(max_entries=8, ttl="30m", show_spinner=False)
def _flush_report(logs: str, place: str, on: str | None) -> Report:
    return report(_appraisal(logs, place, on, HORIZONS[0]))


def flushing(seen: View) -> Report:
    """Judge flushing, with everything that stands behind the verdict."""
    with st.spinner("Comparing flushed and unflushed hours …", show_time=True):
        return _flush_report(*_key(seen)[:3])


@st.cache_resource(max_entries=64, ttl="30m", show_spinner=False)
def _flush_bill(logs: str, place: str, on: str | None, policy: Policy, minutes: float) -> Bill:
    answer = _appraisal(logs, place, on, HORIZONS[0])
    done = outcome(
        _flush_report(logs, place, on).verdict, policy, answer.logbook.settings.timezone
    )
    return bill(done, answer.checked, minutes)


def flush_bill(seen: View, policy: Policy, minutes: float) -> Bill:
    """Work out what a flushing policy costs and spares over a year."""
    return _flush_bill(*_key(seen)[:3], policy, minutes)


@st.cache_resource(max_entries=16, ttl="30m", show_spinner=False)
def _week(logs: str, place: str, on: str | None, days: int, week: date | None) -> PlannedWeek:
    return plan_week(_appraisal(logs, place, on, days), week)


def week(seen: View, day: date | None = None) -> PlannedWeek:
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


def costs(seen: View) -> Costs:
    """Add up what anode work has cost."""
    return _costs(*_key(seen))


def moorings(seen: View) -> Study:
    """Compare the fleet's moorings."""
    with st.spinner("Comparing the moorings …", show_time=True):
        return _moorings(*_key(seen))


def move(seen: View, hulls: tuple[str, ...], to: str, stays: str) -> Move:
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


def odd(seen: View) -> pd.DataFrame:
    """List the odd anodes, hulls and berths."""
    return _odd(*_key(seen))


@st.cache_resource(max_entries=24, ttl="30m", show_spinner=False)
def _what_if(
    logs: str, place: str, on: str | None, days: int, worse_by: float, false_flushes: float
) -> WhatIf:
    return work_out_what_if(_appraisal(logs, place, on, days), worse_by, false_flushes)


def what_if(seen: View, worse_by: float, false_flushes: float) -> WhatIf:
    """Work the forecast out under other assumptions."""
    with st.spinner("Working it out under that assumption …", show_time=True):
        return _what_if(*_key(seen), worse_by, false_flushes)


@st.cache_resource(max_entries=60, ttl="30m", show_spinner=False)
def _hull_story(
    logs: str, place: str, on: str | None, days: int, hull_id: str, paper: Paper
) -> str:
    return hull_report(_appraisal(logs, place, on, days), hull_id, paper)


def hull_story(seen: View, hull_id: str, paper: Paper) -> str:
    """Write one hull's whole story as a page that prints."""
    return _hull_story(*_key(seen), hull_id, paper)


@st.cache_resource(max_entries=8, ttl="30m", show_spinner=False)
def _chemistry(logs: str, place: str, on: str | None, days: int) -> Chemistry:
    logbook = _appraisal(logs, place, on, days).logbook
    known = logbook.readings.dropna(subset=["potential_mv"]).sort_values("read_at", kind="stable")
    last = known.drop_duplicates(["hull_id", "position"], keep="last")
    return Chemistry(measured_meanings(logbook), potential_drift(logbook), last)


def chemistry(seen: View) -> Chemistry:
    """Read the potentials and contact resistances on record."""
    return _chemistry(*_key(seen))


def record(seen: View) -> Record | None:
    """Give the track record where it was worked out before for these logs, else None."""
    return remembered(seen.folder, None if seen.on is None else seen.on.isoformat())


def make_record(seen: View) -> None:
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
    for known in (_appraisal, _dossier, _odd, _what_if):
        known.clear()


@st.cache_resource(max_entries=400, ttl="30m", show_spinner=False)
def _picture(about: tuple[object, ...], _draw: Callable[[], go.Figure]) -> go.Figure:
    return _draw()


def picture(seen: View, *about: object, draw: Callable[[], go.Figure]) -> go.Figure:
    """Draw a figure once for each state of the logs; `about` tells it from its neighbours."""
    return _picture((*_key(seen), *about, is_dark()), draw)


@st.cache_resource(max_entries=4, ttl="30m", show_spinner=False)
def _checked(logs: str, place: str) -> Checked:
    return check_logs(read_fleet(place))


# by the day, not by the logs: what an anode should measure moves little with one more entry, and
# nobody with wet hands waits for a fit after each
@st.cache_resource(max_entries=8, ttl="6h", show_spinner=False)
def _expected(place: str, day: str) -> pd.DataFrame | None:
    try:
        return expected_sizes(_appraisal(*_key(View(Path(place), None, HORIZONS[0]))))
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


@st.cache_resource
def _forms() -> dict[str, dict[str, object]]:
    """Hold what was typed into forms that are not written yet, by the name of the form."""
    return {}


def keep_form(name: str, typed: dict[str, object]) -> None:
    """Keep what was typed, so that a page that is loaded again shows it."""
    forms = _forms()
    forms[name] = typed
    while len(forms) > KEPT_FORMS:
        forms.pop(next(iter(forms)), None)


def forget_form(name: str) -> None:
    """Forget a form that was written."""
    _forms().pop(name, None)


def kept_form(name: str) -> dict[str, object]:
    """Give what was typed into a form that was not written; empty when it is not known."""
    return dict(_forms().get(name, {}))


@st.cache_resource(max_entries=12, ttl="30m", show_spinner=False)
def _parts(logs: str, place: str, on: str | None, days: int) -> Parts:
    return count_parts(_appraisal(logs, place, on, days))


def parts(seen: View) -> Parts:
    """Say what parts the coming weeks take, once for each state of the logs."""
    with st.spinner("Counting the parts …", show_time=True):
        return _parts(*_key(seen))


@st.cache_resource(max_entries=12, ttl="30m", show_spinner=False)
def _savings(logs: str, place: str, on: str | None, days: int) -> Savings:
    return compare_rules(_appraisal(logs, place, on, days))


def savings(seen: View) -> Savings:
    """Work the rules through the coming half year, once for each state of the logs."""
    with st.spinner("Working four rules through the coming half year …", show_time=True):
        return _savings(*_key(seen))


def is_dark() -> bool:
    """Tell whether the visitor's page is dark."""
    return st.context.theme.type == "dark"


def warm() -> None:
    """Answer the first visitor's question before it is asked; a refusal waits for the page."""
    place = Path(os.environ["FLEET_LOGS"]) if folder_is_fixed() else DEMO
    if place.is_dir():
        try:
            _week(*_key(View(place, None, HORIZONS[0])), None)
        except Refusal:
            return


def _key(seen: View) -> tuple[str, str, str | None, int]:
    on = None if seen.on is None else seen.on.isoformat()
    return fingerprint(seen.folder), str(seen.folder), on, seen.days
