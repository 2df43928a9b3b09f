"""One function a command: options in, an answer out.

What a command needs is imported when it runs: `--help` loads neither pandas nor statsmodels.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd

    from corrosion.forecast import Appraisal
    from corrosion.records import Checked

RANK = (
    *("rank", "hull_id", "mooring_id", "risk", "worst_position", "worn", "pull_by", "why", "stop"),
)
ANODES = (
    *("hull_id", "position", "fitted_at", "last_read_at", "worn", "worn_then", "risk", "pull_by"),
    *("days_left_10", "days_left_50", "days_left_90", "flag", "stop"),
)
HABITS = ("circuit", "water", "state", "hours", "worn_per_100h", "low", "high")
LOG_COLUMNS = ("log", "column", "required", "holds", "meaning")
FINDINGS = ("log", "rule", "severity", "rows", "first", "what_to_do")


@dataclass(frozen=True)
class Answer:
    """What a command says.

    Attributes
    ----------
    rows : DataFrame, mapping or str
        One row per thing asked for; or one object, for an answer that is no table; or a whole
        document, which is printed as it is.
    about : tuple of str
        Lines on what the answer rests on; they go to standard error with the table format.
    shown : tuple of str
        Columns of the table format, in order; every column when empty. They come first in the
        other formats.
    zone : tzinfo
        The fleet's time zone, for times that people read.
    """

    rows: pd.DataFrame | Mapping[str, object] | str
    about: tuple[str, ...] = ()
    shown: tuple[str, ...] = ()
    zone: tzinfo = UTC


def check(options: argparse.Namespace) -> Answer:
    """List what in the logs is not believed: one row per finding."""
    import pandas as pd

    from corrosion.records import check_logs, file_findings, findings_table, read_fleet

    checked = check_logs(read_fleet(options.fleet, options.on))
    of_files = findings_table(file_findings(options.fleet))
    return about_fleet(
        pd.concat([of_files, checked.findings], ignore_index=True), FINDINGS, checked
    )


def rank(options: argparse.Namespace) -> Answer:
    """Rank the hulls in service, riskiest first; those that can't be judged stand last."""
    import pandas as pd

    appraisal = appraised(options)
    hulls, others = appraisal.forecast.hulls, appraisal.forecast.not_judged
    if len(others):
        last = pd.DataFrame({"hull_id": others.hull_id, "why": "not judged: " + others.reason})
        hulls = pd.concat([hulls, last.reindex(columns=hulls.columns)], ignore_index=True)
    return about_fleet(hulls, RANK, appraisal.checked, ahead(appraisal), silent(appraisal))


def anodes(options: argparse.Namespace) -> Answer:
    """List every anode in service, with its wear, its risk and the days it has left."""
    appraisal = appraised(options)
    rows = appraisal.forecast.anodes
    return about_fleet(rows, ANODES, appraisal.checked, ahead(appraisal), silent(appraisal))


def habits(options: argparse.Namespace) -> Answer:
    """List what an hour in each operating state wears, with its interval."""
    appraisal = appraised(options)
    answer = about_fleet(appraisal.habits, HABITS, appraisal.checked, silence=silent(appraisal))
    apart = appraisal.habits.dropna(subset=["by_looks"])
    sentences = [
        f"Unflushed and running hours in {row.water} water are told apart to {row.by_looks:.0%} by "
        "the looks, the rest by common practice."
        for row in apart.itertuples()
    ]
    return replace(answer, about=(*answer.about, *sentences))


def logs(options: argparse.Namespace) -> Answer:
    """Print the log dictionary: every log's columns, with unit and meaning."""
    from corrosion.common import Refusal
    from corrosion.records import LOGS, column_dictionary

    if options.log and options.log not in LOGS:
        raise Refusal(f"{options.log}: is no log. Ask for one of {', '.join(LOGS)}, or for all.")
    table = column_dictionary()
    return Answer(table[table["log"] == options.log] if options.log else table, (), LOG_COLUMNS)


def demo(options: argparse.Namespace) -> Answer:
    """Write the demo fleet into a new or empty folder and list its logs."""
    from corrosion.records import read_fleet
    from demo_fleet.maker import write_fleet

    folder: Path = options.fleet
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        from corrosion.common import Refusal

        raise Refusal(f"{folder}: is there already and not empty. Name a new folder.")
    write_fleet(folder)
    logbook = read_fleet(folder, options.on)
    return Answer(
        rows=log_lengths(logbook.tables),
        about=(f"The demo fleet is simulated. It lies in {folder}, its answer sheet with it.",),
        zone=logbook.settings.timezone,
    )


def log_lengths(tables: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """Count the rows of each log."""
    import pandas as pd

    return pd.DataFrame({"log": list(tables), "rows": [len(table) for table in tables.values()]})


def appraised(options: argparse.Namespace) -> Appraisal:
    """Run the whole chain once, as the options ask."""
    from corrosion.common import Refusal
    from corrosion.forecast import appraise, widening_asked

    widened = getattr(options, "widened", False)
    scheduler, days = getattr(options, "workers", None), getattr(options, "days", 7)
    if "://" in str(options.fleet) and (widened or not scheduler):
        raise Refusal(
            f"{options.fleet}: only workers read an address (--workers), and of it no track record "
            "(--widened). Give a folder."
        )
    widen = widening_asked(options.fleet, options.on) if widened else 1.0
    if scheduler:
        return _appraised_by_workers(scheduler, options, days, widen)
    return appraise(options.fleet, options.on, days, widen)


def _appraised_by_workers(
    scheduler: str, options: argparse.Namespace, days: int, widen: float
) -> Appraisal:
    from corrosion.common import Refusal

    try:
        from corrosion.spread import appraise_with_workers
    except ModuleNotFoundError as missing:
        raise Refusal(
            f"--workers: the package {missing.name} is not installed. Install distributed and "
            "fsspec, here and with every worker."
        ) from missing
    return appraise_with_workers(scheduler, options.fleet, options.on, days, widen)


def ahead(appraisal: Appraisal) -> str:
    """Say how far the answer looks."""
    days = appraisal.forecast.days
    return f", {days} {'day' if days == 1 else 'days'} ahead"


def silent(appraisal: Appraisal) -> tuple[str, ...]:
    """Say what rates rest on, who has not written, who is stopped, what is taken for crust."""
    from corrosion.forecast import (
        crust_in_words,
        silence_in_words,
        stops_in_words,
        what_rates_rest_on,
    )

    return (
        *what_rates_rest_on(appraisal), *silence_in_words(appraisal),
        *stops_in_words(appraisal.forecast.hulls), *crust_in_words(appraisal),
    )  # fmt: skip


def about_fleet(
    rows: pd.DataFrame,
    shown: tuple[str, ...],
    checked: Checked,
    looking: str = "",
    silence: tuple[str, ...] = (),
) -> Answer:
    """Put an answer together with what it rests on.

    Parameters
    ----------
    rows : DataFrame
        The answer; columns beside `shown` follow them in CSV and JSON.
    shown : tuple of str
        The command's own columns.
    checked : Checked
        The logs as checked: they give the fleet's name, the moment, and what was set aside.
    looking : str
        How far ahead, as part of a sentence.
    silence : tuple of str
        Who has not written since when, and what was filled in; said first.
    """
    settings, findings = checked.logbook.settings, checked.findings
    aside = int(findings.loc[findings.severity == "set-aside", "rows"].sum())
    moment = checked.logbook.on.tz_convert(settings.timezone)
    name = settings.name or checked.logbook.folder.name
    label = " (simulated)" if settings.simulated and "simulated" not in name.lower() else ""
    return Answer(
        rows=rows[[*shown, *(name for name in rows.columns if name not in shown)]],
        about=(
            *silence,
            f"{name}{label}, as on "
            f"{moment:%Y-%m-%d %H:%M} ({settings.timezone}){looking}. "
            f"Rows set aside: {aside}{'; see the command check' if aside else ''}.",
        ),
        shown=shown,
        zone=settings.timezone,
    )
