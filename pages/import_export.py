"""Bring in what was kept elsewhere, and take everything along."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.data_entry import Desk, columns_of, label_of, objections_to_file
from corrosion.records import LOGS, Imported, Options, Proposal, import_rows, propose
from pages._shared import cached_answers, frame, listing, session, widgets

PREVIEW = 8
TWICE = ("set the row aside", "earlier", "later")
FORMS = {"csv": "CSV, for people and spreadsheets", "parquet": "Parquet, a fleet again"}


def show(folder: Path, desk: Desk) -> None:
    """Say what is there, take a file in, and offer everything for download."""
    tables = desk.logbook.tables
    logs = [log for log, rows in tables.items() if len(rows)]
    total = sum(len(tables[log]) for log in logs)
    widgets.say(
        f"**{formatting.count(total, 'row')} stand in {formatting.count(len(logs), 'log')}.**"
    )
    st.subheader("Import")
    if session.writable() is None:
        st.markdown("Nothing is written into the demo fleet that comes with the program.")
        st.button("Practise on a copy", on_click=session.practise)
    else:
        _import(folder, desk)
    st.subheader("Export")
    _export(folder)


def _import(folder: Path, desk: Desk) -> None:
    log = st.selectbox("Into which log", list(LOGS), list(LOGS).index("readings"), key="into")
    file = st.file_uploader("CSV, spreadsheet (.xlsx) or Parquet", key="file",
                            type=["csv", "txt", "tsv", "xlsx", "parquet"])  # fmt: skip
    if file is None or log is None:
        st.caption(f"One row is {LOGS[log or 'readings'].row}.")
        return
    content, key = file.getvalue(), f"{log}_{file.file_id}"
    try:
        proposal = propose(folder, log, content, file.name)
        options = _said(proposal, desk, key)
        proposal = propose(folder, log, content, file.name, options)
    except Refusal as refusal:
        st.error(formatting.plain(refusal))
        return
    _preview(proposal, desk)
    if proposal.missing:
        labels = {column.name: label_of(column, desk.logbook.settings) for column in LOGS[log]}
        missing = formatting.listed([labels[name] for name in proposal.missing])
        st.warning(f"Say above which heading is meant by: {formatting.plain(missing)}.")
    if proposal.ready:
        _take(folder, proposal, desk, key)


def _said(proposal: Proposal, desk: Desk, key: str) -> Options:
    """Ask what the file does not tell: sheet, headings, and the open questions."""
    options = Options()
    if len(proposal.raw.sheets) > 1:
        chosen = st.selectbox("Sheet", proposal.raw.sheets, key=f"{key}_sheet")
        options = replace(options, sheet=chosen)
    for question in proposal.questions:
        answer = st.radio(formatting.plain(question.says), list(question.answers), index=None,
                          key=f"{key}_{question.about}")  # fmt: skip
        if answer is not None:
            answers: dict[str, Any] = {question.about: question.answers[answer]}
            options = replace(options, **answers)
    with st.expander("Which heading is which", expanded=bool(proposal.missing)):
        mapping = {
            column.name: _heading(
                proposal, column.name, label_of(column, desk.logbook.settings), key
            )
            for column in columns_of(proposal.log)
        }
        twice = st.selectbox("Of a time that the clock showed twice", TWICE, key=f"{key}_twice")
    given: dict[str, Any] = {} if twice == TWICE[0] else {"clock_twice": twice}
    return replace(options, mapping=mapping, **given)


def _heading(proposal: Proposal, column: str, label: str, key: str) -> str:
    guessed = proposal.mapping.get(column, "")
    offered = list(dict.fromkeys(["", guessed, *proposal.raw.headings]))
    chosen = st.selectbox(label, offered, offered.index(guessed), key=f"{key}_map_{column}",
                          format_func=lambda name: name or "not in the file")  # fmt: skip
    return str(chosen or "")


def _preview(proposal: Proposal, desk: Desk) -> None:
    rows = proposal.rows
    if rows.empty:
        return
    known = [
        c.name for c in columns_of(proposal.log) if c.name in rows and rows[c.name].notna().any()
    ]
    zone = desk.logbook.settings.timezone
    listed = [
        listing.Row(
            (
                *(listing.text(_cell(row[name], zone)) for name in known),
                listing.text(reason or "taken"),
            )
        )
        for (_, row), reason in zip(rows[:PREVIEW].iterrows(), proposal.reasons, strict=False)
    ]
    caption = (
        f"The first {len(listed)} of {formatting.count(len(rows), 'row')}, as they would be read."
    )
    listing.show((*known, "what becomes of it"), listed, "preview", caption)
    if proposal.left:
        st.caption(f"Kept beside as they are: {formatting.plain(', '.join(proposal.left))}.")


def _cell(value: Any, zone: Any) -> str:
    if pd.isna(value):
        return ""
    return formatting.moment(value, zone) if isinstance(value, pd.Timestamp) else f"{value}"


def _take(folder: Path, proposal: Proposal, desk: Desk, key: str) -> None:
    by = str(st.session_state.get("by") or desk.logbook.settings.roles[-1])
    try:
        trial = import_rows(folder, proposal, by, dry_run=True, until=desk.now)
        _report(trial, "would be taken")
        if trial.taken:
            _doubts(proposal, desk)
        if not st.button("Take these rows", type="primary", disabled=not trial.taken):
            return
        done = import_rows(folder, proposal, by, until=desk.now)
    except Refusal as refusal:
        st.error(f"**Not imported.** {formatting.plain(refusal)}")
        return
    st.session_state[f"{key}_done"] = done
    where = f" Those set aside lie in {done.aside_file.name}." if done.aside_file else ""
    st.success(
        formatting.plain(f"{formatting.count(done.taken, 'row')} taken into the log.{where}")
    )


def _doubts(proposal: Proposal, desk: Desk) -> None:
    """Say before they are taken which of the rows would not be believed."""
    sound = [not reason for reason in proposal.reasons]
    doubts = objections_to_file(desk, proposal.log, proposal.rows[sound])
    if doubts.empty:
        return
    lines = [f"- {row.rows}: {row.rule} ({row.severity})" for row in doubts.itertuples()]
    st.warning(
        "Some of these rows would not be believed; mend them in the file, or later in the log "
        "check, where the row itself is shown:\n\n" + "\n".join(lines)
    )


def _report(trial: Imported, what: str) -> None:
    st.markdown(
        f"**{formatting.count(trial.taken, 'row')} {what}**, {trial.already} are in the log "
        "already, "
        f"{len(trial.aside)} are set aside with a reason."
    )
    if len(trial.aside):
        reasons = trial.aside["reason"].value_counts()
        st.markdown(
            "\n".join(f"- {n}: {formatting.plain(why)}" for why, n in reasons[:PREVIEW].items())
        )
        st.caption("Mend them in that file and import it again; what is in already adds nothing.")
        widgets.download(trial.aside, "rows_set_aside", "Rows set aside as CSV")


def _export(folder: Path) -> None:
    st.markdown("Every log with its whole history, and the settings, in one zip file.")
    form = st.segmented_control("As", list(FORMS), format_func=FORMS.get, default="csv",
                                required=True, key="form_of_export")  # fmt: skip
    chosen = str(form)
    st.download_button(
        "Everything as a zip",
        data=lambda: cached_answers.exported(folder, chosen),
        file_name=f"fleet_{chosen}.zip",
        mime="application/zip",
        icon=":material/download:",
        on_click="ignore",
        key="export",
    )
    st.caption(
        "A copy of the fleet's folder is a backup, whole at any moment. In the CSV, text that a "
        "spreadsheet would run as a formula stands after an apostrophe."
    )


frame.desk_page("Import, export", show)
