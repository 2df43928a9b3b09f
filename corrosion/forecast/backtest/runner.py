"""Going back: which weeks must be made, making them on both cores, and the record of it all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

import pandas as pd

from corrosion.forecast.backtest import cache, scores
from corrosion.forecast.backtest.looks_judged import looks_judged
from corrosion.forecast.backtest.sharing import Progress, shared_out
from corrosion.forecast.backtest.turns import turn
from corrosion.forecast.backtest.weeks import FORM, keys, mondays
from corrosion.forecast.backtest.widening import Widening, widening
from corrosion.records import (
    VERSION,
    Logbook,
    Settings,
    fingerprint,
    parse_on,
    read_fleet,
    read_settings,
)

RECORD_WEEKS: Final = 52
ALONE: Final = 3
"""So many weeks are made in this process; more are shared out between others."""


@dataclass(frozen=True)
class Record:
    """What was said, and what was found.

    Attributes
    ----------
    settings : Settings
        The fleet's.
    on : Timestamp
        The end of the record, UTC.
    weeks : int
        How many weekly forecasts it holds.
    made : int
        How many of them had to be made now; the others were kept from before.
    judged : DataFrame
        One row a forecast, as `corrosion.forecast.backtest.outcomes.judged` gives it.
    """

    settings: Settings
    on: pd.Timestamp
    weeks: int
    made: int
    judged: pd.DataFrame

    @property
    def reliability(self) -> pd.DataFrame:
        """Return said beside found, by bands of chance."""
        return scores.reliability(self.judged)

    @property
    def blame(self) -> pd.DataFrame:
        """Return how much of what was said wrong is use, and how much wear."""
        return scores.blame(self.judged)

    @property
    def rivals(self) -> pd.DataFrame:
        """Return Brier scores beside the average and the rules of thumb."""
        return scores.rivals(self.judged)

    @property
    def horizons(self) -> pd.DataFrame:
        """Return what can be judged by the end of each horizon, and what cannot."""
        return scores.horizons(self.judged)

    @property
    def coverage(self) -> pd.DataFrame:
        """Return how often 80 % ranges held."""
        return scores.coverage(self.judged)

    @property
    def widening(self) -> Widening:
        """Return by how much ranges were too narrow."""
        return widening(self.judged)

    @property
    def misses(self) -> pd.DataFrame:
        """Return the looks that came as a surprise."""
        return scores.misses(self.judged, self.settings.tolerated_risk)

    @property
    def looks(self) -> pd.DataFrame:
        """Return how often a look changed what was done."""
        return looks_judged(self.judged, self.settings.tolerated_risk)


def track_record(
    folder: str | Path,
    on: pd.Timestamp | str | None = None,
    weeks: int = RECORD_WEEKS,
    place: Path | None = None,
    progress: Progress | None = None,
) -> Record:
    """Make, or remember, the forecasts of past weeks and set what was found beside them.

    Parameters
    ----------
    folder : path of the fleet's folder
    on : Timestamp or str, optional
        The end of the record; nothing later is seen. Default as for every answer.
    weeks : int
        How many weeks to go back (`corrosion.forecast.backtest.weeks.mondays`).
    place : Path, optional
        Where forecasts are kept; the user's cache folder by default.
    progress : callable, optional
        Told how many weeks are made and how many there are to make.

    Returns
    -------
    Record

    Raises
    ------
    Refusal
        The logs are missing or refused, or no four weeks of readings are on record.
    """
    folder, place = Path(folder), place or cache.usual_place()
    known = remembered(folder, on, weeks, place)
    if known is not None:
        return known
    tell = progress or (lambda done, of: None)
    with turn(cache.file_of(folder, place, "judged").with_suffix(".lock"), lambda: tell(0, 1)):
        # somebody may have made it while this one waited
        known = remembered(folder, on, weeks, place)
        return known or _made_now(folder, on, weeks, place, tell)


def _made_now(
    folder: Path, on: pd.Timestamp | str | None, weeks: int, place: Path, progress: Progress
) -> Record:
    # what fits and judges is loaded only here: a record that is remembered needs none of it
    from corrosion.forecast.backtest.outcomes import judged
    from corrosion.records import check_logs

    logbook = read_fleet(folder, on)
    said, made = _said(folder, logbook, mondays(logbook, weeks), place, progress)
    table = judged(said, check_logs(logbook)) if len(said) else said
    count = int(table["week"].nunique()) if len(table) else 0
    if len(table):
        state = _state(folder, on, weeks)
        cache.keep(table.assign(state=state, on=logbook.on), record_file(folder, place))
    return Record(logbook.settings, logbook.on, count, made, table)


def remembered(
    folder: str | Path,
    on: pd.Timestamp | str | None = None,
    weeks: int = RECORD_WEEKS,
    place: Path | None = None,
) -> Record | None:
    """Return the record as it was worked out before, or None where that has not been done.

    Parameters
    ----------
    folder, on, weeks, place
        As `track_record` takes them.

    Returns
    -------
    Record or None
        None too where any log changed since.
    """
    folder = Path(folder)
    known = cache.recall(record_file(folder, place))
    if known.empty or not folder.is_dir() or known["state"].iloc[0] != _state(folder, on, weeks):
        return None
    table = known.drop(columns=["state", "on"])
    count = int(table["week"].nunique())
    return Record(read_settings(folder), known["on"].iloc[0], count, 0, table)


def widening_asked(
    folder: str | Path,
    on: pd.Timestamp | str | date | None = None,
    place: Path | None = None,
) -> float:
    """Return what the newest record of a fleet asks standard deviations to be multiplied with.

    It holds until a newer record is made: one more entry does not undo what the past has shown.
    Only looks that were taken by `on` speak.

    Parameters
    ----------
    folder : path of the fleet's folder
    on : Timestamp, date or str, optional
        The moment of the forecast; all looks of the record when left out.
    place : Path, optional
        Where forecasts are kept; the user's cache folder by default.

    Returns
    -------
    float
        1 where no record of this method was made, or where it asks for nothing.
    """
    known = cache.recall(record_file(folder, place))
    if known.empty or not known["state"].iloc[0].startswith(_method()):
        return 1.0
    if on is not None:
        by_then = known["next_at"] <= parse_on(on, read_settings(Path(folder)).timezone)
        known = known[by_then.to_numpy(bool)]
    return widening(known).factor


def record_file(folder: str | Path, place: Path | None = None) -> Path:
    """Return the file that keeps the newest record of a fleet, whether it is there or not."""
    return cache.file_of(Path(folder), place or cache.usual_place(), "judged")


def _method() -> str:
    return repr((FORM, VERSION))[:-1]


def _state(folder: Path, on: pd.Timestamp | str | None, weeks: int) -> str:
    """Return a text for the whole record; of a live fleet's ever moving now it keeps the day."""
    settings = read_settings(folder)
    moving = on is None and not settings.simulated
    moment = f"{pd.Timestamp.now(settings.timezone):%Y-%m-%d}" if moving else str(on)
    return repr((FORM, VERSION, fingerprint(folder), moment, weeks))


def _said(
    folder: Path,
    logbook: Logbook,
    weeks: list[pd.Timestamp],
    place: Path,
    progress: Progress,
) -> tuple[pd.DataFrame, int]:
    """Return the forecasts of all weeks, and how many weeks were made now."""
    file = cache.file_of(folder, place, "said")
    old = cache.recall(file)
    wanted = keys(logbook, weeks)
    have = set(old[cache.KEY].unique()) if cache.KEY in old else set()
    missing = [week for week in weeks if wanted[week] not in have]
    new = [
        table.assign(**{cache.KEY: wanted[table["week"].iloc[0]]})
        for table in _made(folder, missing, progress)
        if len(table)
    ]
    still = [old[old[cache.KEY].isin(set(wanted.values()))]] if len(old) else []
    parts = [part for part in (*still, *new) if len(part)]
    forecasts = pd.concat(parts, ignore_index=True) if parts else pd.DataFrame()
    if new:
        cache.keep(forecasts, file)
    if forecasts.empty:
        return forecasts, len(missing)
    forecasts = forecasts.drop(columns=[cache.KEY])
    return forecasts.sort_values(["week", "hull_id", "position"], ignore_index=True), len(missing)


def _made(folder: Path, weeks: list[pd.Timestamp], progress: Progress) -> list[pd.DataFrame]:
    from corrosion.forecast.backtest.forecasts import forecasts_of

    if len(weeks) > ALONE:
        return shared_out(folder, weeks, progress)
    return [forecasts_of(folder, week) for week in weeks]
