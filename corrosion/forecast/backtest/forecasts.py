"""What would have been said: the forecast of one past moment, from the logs as they stood."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats, TooLittle, hours_since_epoch
from corrosion.exposure import Exposure, build_lives
from corrosion.forecast.backtest.spans import FORECAST_DAYS, HORIZONS_DAYS, KNOTS_DAYS, booked_until
from corrosion.forecast.crossing import days_until
from corrosion.forecast.filled_exposure import exposure_until_now
from corrosion.forecast.usage_forecast import Ahead, use_ahead
from corrosion.forecast.wear_paths import Paths
from corrosion.forecast.wear_projection import project_wear
from corrosion.life_model import NO_CRUST, Fit, fit_life
from corrosion.records import Logbook, check_logs, read_fleet


def as_known(logbook: Logbook) -> Logbook:
    """Leave out hires that were entered later, or that start too far ahead to matter.

    Looking back hides no hire in general, since a booking speaks of what is to come; but a record
    must not know a hire that was booked afterwards, where the log says when it was.

    Parameters
    ----------
    logbook : Logbook
        The logs as they stood at a moment.

    Returns
    -------
    Logbook
    """
    book = logbook.bookings
    far = book["starts"] > booked_until(logbook.on, logbook.settings.timezone)
    later = book["entered_at"] > logbook.on if "entered_at" in book else far
    hires = book[~(far | later).to_numpy(bool)].reset_index(drop=True)
    return replace(logbook, tables={**logbook.tables, "bookings": hires})


def forecasts_of(folder: Path, week: pd.Timestamp) -> pd.DataFrame:
    """Make the forecast of one past moment, from scratch and without peeking.

    Parameters
    ----------
    folder : Path
        The fleet's folder.
    week : Timestamp
        The moment.

    Returns
    -------
    DataFrame
        One row an anode in service then: `week`, `hull_id`, `position`, `mooring_id`, `circuit`,
        `fitted_at`, `last_read_at` (UTC), `last_worn` (at the last look), `age_days` (since the
        fitting, or the first look), `engine_h` (run since then), `days_left_10`, `_50`, `_90`,
        `error` (standard deviation of a caliper reading, share of the allowance), `crust` and
        `crust_widens` (how much less worn an anode looks that nobody cleaned, share of the
        allowance, and how many times that error), and for each of
        `KNOTS_DAYS` `mean_<d>`, `sd_<d>` (worn share), `engine_<d>` (engine hours expected from
        then on), `used_<d>` (the part of worn that goes with them), `use_sd_<d>` (spread of those
        hours, as their share), and for each horizon `risk_<d>`; no rows where too little was
        known.
    """
    try:
        checked = check_logs(as_known(read_fleet(folder, week)))
        exposure, lives = exposure_until_now(checked), build_lives(checked)
        if lives.lives.empty:
            return pd.DataFrame()
        fit = fit_life(lives, exposure)
        ahead = use_ahead(checked, exposure, FORECAST_DAYS)
        path = project_wear(fit, checked, ahead)
    except TooLittle:
        return pd.DataFrame()
    return _table(fit, path, ahead, exposure, week) if path.lives.size else pd.DataFrame()


def _table(
    fit: Fit, path: Paths, ahead: Ahead, exposure: Exposure, week: pd.Timestamp
) -> pd.DataFrame:
    design = fit.model.design
    number = design.steps.lives[path.lives]
    lives = fit.lives.lives.iloc[number]
    at_h = float(hours_since_epoch(pd.DatetimeIndex([week]))[0])
    hull, start_h = design.hull[path.lives], lives["start_h"].to_numpy(float)
    past = exposure.between(hull, start_h, np.full(hull.size, at_h))
    running = (
        exposure.cells["state"][exposure.cells["state"] != "unflushed"] == "running"
    ).to_numpy()
    last = fit.lives.looks.drop_duplicates("life", keep="last").set_index("life")
    last = last.reindex(number)
    read_h = last["at_h"].fillna(lives["start_h"].where(lives["started"] != "fitting"))
    berth = exposure.berths.drop_duplicates("hull", keep="last").set_index("hull")["mooring"]
    crust = design.crust or NO_CRUST
    columns = {
        "week": week,
        "hull_id": lives["hull_id"].to_numpy(object),
        "position": lives["position"].to_numpy(object),
        "mooring_id": exposure.mooring_ids.to_numpy(object)[berth.reindex(hull).to_numpy(int)],
        "circuit": lives["circuit"].to_numpy(object),
        "fitted_at": lives["fitted_at"].to_numpy(),
        "last_read_at": (read_h.to_numpy(float) * 3.6e9).round(),
        "last_worn": last["worn"].fillna(pd.Series(lives["start_worn"].to_numpy(), number)),
        "age_days": (at_h - start_h) / 24,
        "engine_h": past.plain[:, running].sum(axis=1),
        "error": fit.results.evaluation.rates.reading_mm / lives["allowance_mm"].to_numpy(float),
        "crust": crust.mean_mm / lives["allowance_mm"].to_numpy(float),
        "crust_widens": crust.widens,
        **_chances(path, ahead.days),
        **_use(path, ahead, hull),
    }
    table = pd.DataFrame({name: np.asarray(column) for name, column in columns.items()})
    read_at = pd.to_datetime(table["last_read_at"], unit="us", utc=True)
    return table.assign(
        week=pd.Series(pd.DatetimeIndex([week] * len(table)).as_unit("us"), table.index),
        last_read_at=read_at.dt.as_unit("us"),
        fitted_at=pd.to_datetime(table["fitted_at"], utc=True).dt.as_unit("us"),
    )


def _use(path: Paths, ahead: Ahead, hull: Codes) -> dict[str, Floats]:
    """Return the engine hours that were expected and the wear that hangs on them, by day."""
    columns: dict[str, Floats] = {}
    for days in KNOTS_DAYS:
        at = int(np.searchsorted(ahead.days, days))
        columns[f"engine_{days}"] = ahead.engine_h[hull, at]
        # as a caliper shows it, where wear speeds up
        columns[f"used_{days}"] = path.used[:, at] * path.worn_sd[:, at] / path.sd[:, at]
        columns[f"use_sd_{days}"] = path.use_sd[:, at]
    return columns


def _chances(path: Paths, grid: Floats) -> dict[str, Floats]:
    at = np.searchsorted(grid, KNOTS_DAYS)
    mean, sd, chance = path.worn, path.worn_sd, path.chance
    means = {f"mean_{d}": mean[:, i] for d, i in zip(KNOTS_DAYS, at, strict=True)}
    sds = {f"sd_{d}": sd[:, i] for d, i in zip(KNOTS_DAYS, at, strict=True)}
    risks = {f"risk_{d}": chance[:, np.searchsorted(grid, d)] for d in HORIZONS_DAYS}
    left = {f"days_left_{q}": days_until(chance, grid, q / 100) for q in (10, 50, 90)}
    return means | sds | risks | left
