"""Taking: the rows of a proposal into the log, the others into a file that can be mended."""

from __future__ import annotations

from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path

import pandas as pd

from corrosion.common import LogRefused, as_csv
from corrosion.records.importing.proposing import Proposal
from corrosion.records.logbook import append, entry_names
from corrosion.records.logbook.entering import checked_rows
from corrosion.records.logbook.files import read_log
from corrosion.records.logbook.lookback import hide_later
from corrosion.records.logbook.storing import put_in_place, told_plainly, write_beside
from corrosion.records.logs import LOGS, Log
from corrosion.records.settings import read_settings
from corrosion.records.writers import A_FILE, Writer

FROM = "imported_from"  # column of the fleet's own: the file that a row was taken from


@dataclass(frozen=True)
class Imported:
    """What became of a file's rows.

    Attributes
    ----------
    taken : int
        Rows that went into the log (would go, on a trial).
    already : int
        Rows that the log held before, by what they say.
    aside : DataFrame
        One row per row set aside: `line` in the file, `reason`, then its cells as they came.
    aside_file : Path or None
        Where those lie, with the file's own headings and `reason`; mend it and import it again.
    file : Path or None
        The file of the log that was written.
    lines_already : tuple of int
        Lines of the file whose rows are counted as `already`.
    """

    taken: int
    already: int
    aside: pd.DataFrame
    aside_file: Path | None = None
    file: Path | None = None
    lines_already: tuple[int, ...] = ()


def import_rows(
    folder: Path,
    proposal: Proposal,
    by: Writer,
    *,
    dry_run: bool = False,
    until: pd.Timestamp | None = None,
) -> Imported:
    """Take a proposal's rows into its log.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    proposal : Proposal
        What `propose` returned, with nothing missing and no question left.
    by : Writer
        Who imports: a role or shift, never a person's name, and what they may.
    dry_run : bool
        True: say what would happen, and write nothing.
    until : Timestamp, optional
        Rows that became true later than this are set aside.

    Returns
    -------
    Imported
        The same file taken twice adds nothing the second time: a row is known by what it says,
        wherever in the log it stands.

    Raises
    ------
    LogRefused
        Columns are missing or questions are open.
    Refusal
        The disk would not take it, or whoever imports may not; the log is as it was.
    """
    folder = Path(folder)
    _require_ready(proposal)
    log = LOGS[proposal.log]
    zone = read_settings(folder).timezone
    reasons = pd.Series(proposal.reasons, dtype=object)
    sound = reasons.eq("").to_numpy()
    rows = proposal.rows[sound].reset_index(drop=True)
    lines = pd.Series(proposal.raw.lines)[sound]
    rows[FROM] = proposal.raw.name
    rows = checked_rows(log, rows, zone)
    if until is not None:
        late = hide_later(log, rows, until)
        reasons[lines.index[late]] = f"it is later than {until:%Y-%m-%d %H:%M} UTC"
        rows, lines = rows[~late].reset_index(drop=True), lines[~late]
    rows["entry_id"] = entry_names(log, rows)
    there = _names_there(folder, log)
    again = (rows["entry_id"].isin(there) | rows["entry_id"].duplicated()).to_numpy()
    fresh, lines_already = rows[~again], tuple(map(int, lines[again]))
    aside = _aside(proposal, reasons)
    if dry_run:
        return Imported(len(fresh), len(lines_already), aside, lines_already=lines_already)
    aside_file = _put_aside(folder, log, aside, by)
    if fresh.empty:
        return Imported(0, len(rows), aside, aside_file, lines_already=lines_already)
    # another import may have written the same rows meanwhile: who holds the log's lock counts
    written = append(folder, log.name, fresh, by, kept_before=True)
    return Imported(
        written.added, len(rows) - written.added, aside, aside_file, written.file, lines_already
    )


def _require_ready(proposal: Proposal) -> None:
    name = proposal.raw.name
    if proposal.missing:
        column = proposal.missing[0]
        raise LogRefused(
            f"{name}: no heading was found for {', '.join(proposal.missing)}; there are "
            f"{', '.join(proposal.raw.headings)}. Say which: --map {column}=HEADING."
        )
    if proposal.questions:
        questions = " ".join(f"{each.says} Say {each.option}." for each in proposal.questions)
        raise LogRefused(f"{name}: {questions}")


def _names_there(folder: Path, log: Log) -> frozenset[str]:
    """What rows of the log are called: by their entry id, and by what they say."""
    frame = read_log(folder, log, read_settings(folder).timezone).frame
    names = entry_names(log, frame.assign(entry_id=None))
    return frozenset(frame["entry_id"].dropna()) | frozenset(names)


def _aside(proposal: Proposal, reasons: pd.Series[str]) -> pd.DataFrame:
    raw, out = proposal.raw, reasons[reasons.ne("")]
    cells = {
        heading: [cell.text if cell else None for cell in raw.column(heading)]
        for heading in raw.headings
        if heading != "reason"
    }
    columns = {"line": raw.lines, "reason": reasons} | cells
    return pd.DataFrame(columns, dtype=object).loc[out.index].reset_index(drop=True)


def _put_aside(folder: Path, log: Log, aside: pd.DataFrame, by: Writer) -> Path | None:
    """Write the rows set aside beside the log; the same rows are the same file."""
    by.require(folder, A_FILE)
    if aside.empty:
        return None
    table = aside.drop(columns="line")
    content = as_csv(table[[*table.columns.drop("reason"), "reason"]]).encode("utf-8-sig")
    digest = blake2b(content, digest_size=4).hexdigest()
    path = folder / f"{log.name}-set-aside-{digest}.csv"
    if path.exists():
        return path
    with told_plainly(log.name, folder):
        put_in_place(write_beside(path, content), path)
    return path
