"""Take files in: each is shown as it was understood, then all that are ready are taken at once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pandas as pd
import streamlit as st

from corrosion.common import Refusal, formatting
from corrosion.data_entry import Desk, columns_of, label_of
from corrosion.records import (
    LOGS,
    Imported,
    Options,
    Proposal,
    Writer,
    import_rows,
    likeliest_log,
    propose_for,
)
from pages._import_export import bad_rows
from pages._shared import cached_answers, listing, start_form, visitors

PREVIEW = 8
TWICE = ("set the row aside", "earlier", "later")
KINDS = ["csv", "txt", "tsv", "xlsx", "parquet"]


@dataclass(frozen=True)
class Ready:
    """A file of which every question is answered, and what would become of its rows."""

    proposal: Proposal
    trial: Imported


def show(folder: Path, desk: Desk) -> None:
    """Ask for files, show what was understood of each, and take those that are ready."""
    if st.session_state.get(start_form.STARTED):
        st.success(
            "The fleet is started, and the log book works. Bring here what you kept so far, in "
            "CSV or a spreadsheet, several files at once; or write on in the *Log book*."
        )
    files = st.file_uploader(
        "CSV, spreadsheet (.xlsx) or Parquet", KINDS, accept_multiple_files=True, key="file"
    )
    st.caption(
        f"A file of more than {st.get_option('server.maxUploadSize')} MB is not taken here: split "
        "it, or bring it in with the command *import*."
    )
    if not files:
        st.caption(
            "For which log a file is shows in its headings: readings need hull, anode and date; "
            "outings hull, time out, time back and engine hours."
        )
        return
    ready = [each for file in files if (each := _look(folder, desk, file)) is not None]
    _take(folder, desk, ready)


def _look(folder: Path, desk: Desk, file: Any) -> Ready | None:
    """Show one file as it would be read; None while something about it is open."""
    st.markdown(f"**{formatting.plain(file.name)}**")
    key = f"file_{file.file_id}"
    proposal = trial = None
    try:
        proposal = _proposed(folder, desk, file, key)
        if proposal is not None and proposal.ready:
            trial = import_rows(folder, proposal, _by(desk), dry_run=True, until=desk.now)
    except Refusal as refusal:
        st.error(formatting.plain(refusal))
    if proposal is None:
        return None
    _preview(proposal, trial, desk, key)
    if trial is None:
        _ask_what_is_open(proposal, desk)
        return None
    bad_rows.show(proposal, trial, desk, key)
    return Ready(proposal, trial)


def _proposed(folder: Path, desk: Desk, file: Any, key: str) -> Proposal | None:
    content = file.getvalue()
    raw = cached_answers.cells_of_file(content, file.name, None)
    log = _log(likeliest_log(raw.headings, file.name), key)
    if log is None:
        return None
    options = _said(propose_for(folder, log, raw), desk, key)
    if options.sheet:
        raw = cached_answers.cells_of_file(content, file.name, options.sheet)
    return propose_for(folder, log, raw, options)


def _ask_what_is_open(proposal: Proposal, desk: Desk) -> None:
    if proposal.missing:
        columns = LOGS[proposal.log]
        labels = {column.name: label_of(column, desk.logbook.settings) for column in columns}
        missing = formatting.listed([labels[name] for name in proposal.missing])
        st.warning(f"Say above which heading is meant by: {formatting.plain(missing)}.")
    elif not proposal.ready:
        st.warning("Answer above what this file does not tell; then its rows can be taken.")


def _by(desk: Desk) -> Writer:
    return visitors.writer(str(st.session_state.get("by") or desk.logbook.settings.roles[-1]))


def _log(guessed: str | None, key: str) -> str | None:
    """Say for which log the file is, as its headings tell, or ask."""
    logs = list(LOGS)
    index = None if guessed is None else logs.index(guessed)
    return st.selectbox("Into which log", logs, index, key=f"{key}_into",
                        placeholder="its headings do not tell")  # fmt: skip


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
    chosen = st.selectbox(label, offered, offered.index(guessed),
                          key=f"{key}_{proposal.log}_map_{column}",
                          format_func=lambda name: name or "not in the file")  # fmt: skip
    return str(chosen or "")


def _preview(proposal: Proposal, trial: Imported | None, desk: Desk, key: str) -> None:
    rows = proposal.rows
    if rows.empty:
        return
    known = [
        c.name for c in columns_of(proposal.log) if c.name in rows and rows[c.name].notna().any()
    ]
    settings, zone = desk.logbook.settings, desk.logbook.settings.timezone
    means = [
        f"{proposal.mapping[c.name].replace('+', ' and ')} is: {label_of(c, settings).lower()}"
        for c in columns_of(proposal.log)
        if c.name in known
    ]
    st.caption(f"One row: {LOGS[proposal.log].row}. {formatting.plain('. '.join(means))}.")
    listed = [
        listing.Row(
            (
                *(listing.text(_cell(row[name], zone)) for name in known),
                listing.text(fate),
            )
        )
        for (_, row), fate in zip(rows[:PREVIEW].iterrows(), _fates(proposal, trial), strict=False)
    ]
    with st.expander(f"What was understood: the first {len(listed)} of {len(rows)} rows"):
        caption = f"{proposal.raw.name}, as it would be read; sizes in mm, times by your clock."
        listing.show((*known, "what becomes of it"), listed, f"{key}_preview", caption)
        if proposal.left:
            st.caption(f"Kept beside as they are: {formatting.plain(', '.join(proposal.left))}.")


def _fates(proposal: Proposal, trial: Imported | None) -> list[str]:
    """What becomes of each row of the file, as the sum of the trial counts it."""
    if trial is None:
        return [reason or "can be taken" for reason in proposal.reasons]
    fates = dict.fromkeys(trial.lines_already, "in the log already")
    fates |= dict(zip(trial.aside["line"], trial.aside["reason"], strict=True))
    return [fates.get(line, "taken") for line in proposal.raw.lines]


def _cell(value: Any, zone: Any) -> str:
    if pd.isna(value):
        return ""
    return formatting.moment(value, zone) if isinstance(value, pd.Timestamp) else f"{value}"


def _take(folder: Path, desk: Desk, ready: list[Ready]) -> None:
    fresh = [each for each in ready if each.trial.taken]
    if not st.button("Take these rows", type="primary", disabled=not fresh):
        return
    for each in fresh:
        name = formatting.plain(each.proposal.raw.name)
        try:
            done = import_rows(folder, each.proposal, _by(desk), until=desk.now)
        except Refusal as refusal:
            st.error(f"**{name} is not imported.** {formatting.plain(refusal)}")
            continue
        where = f" Those set aside lie in {done.aside_file.name}." if done.aside_file else ""
        st.success(
            f"{name}: "
            + formatting.plain(f"{formatting.count(done.taken, 'row')} taken into the log.{where}")
        )
    st.session_state.pop(start_form.STARTED, None)
    st.page_link("pages/this_week.py", label="See what follows: this week")
