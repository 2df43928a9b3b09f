"""The whole chain once: from a folder of logs to the fleet's prospects."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path

import pandas as pd

from corrosion.common import (
    Remembered,
    TooLittle,
    after_days,
    hours_since_epoch,
    midnight_before,
)
from corrosion.exposure import Exposure, Lives, build_lives
from corrosion.forecast.filled_exposure import exposure_until_now
from corrosion.forecast.prospects import Forecast, forecast_fleet
from corrosion.forecast.usage_forecast import Ahead, use_ahead
from corrosion.forecast.wear_projection import in_service
from corrosion.life_model import Fit, LifeResults, fit_life, wear_of_states
from corrosion.records import Checked, Logbook, check_logs, read_fleet


@dataclass(frozen=True)
class Appraisal:
    """Everything that follows from a fleet's logs at one moment."""

    checked: Checked
    forecast: Forecast
    life: Fit

    @property
    def logbook(self) -> Logbook:
        """Return the logs as they were read."""
        return self.checked.logbook

    @cached_property
    def habits(self) -> pd.DataFrame:
        """Return what each operating state costs in wear; worked out when first asked for."""
        return wear_of_states(self.life, self.logbook.on)

    @property
    def until(self) -> pd.Timestamp:
        """Return the moment that the horizon reaches to, by the fleet's own calendar."""
        zone = self.logbook.settings.timezone
        return after_days(self.forecast.on, self.forecast.days, zone)

    @property
    def fit(self) -> LifeResults:
        """Return the fitted life model."""
        return self.life.results

    @property
    def exposure(self) -> Exposure:
        """Return the hours of every hull."""
        return self.life.exposure

    @property
    def lives(self) -> Lives:
        """Return the anode lives and the looks at them."""
        return self.life.lives


def appraise(
    folder: str | Path,
    on: pd.Timestamp | str | date | None = None,
    days: int = 7,
    widen: float = 1.0,
    remembered: Remembered | None = None,
) -> Appraisal:
    """Read, check, fit and forecast a fleet.

    Parameters
    ----------
    folder : path of the fleet folder
    on : moment of the report; nothing logged after it is seen. Default: now, or the last logged
        moment of a simulated fleet
    days : int, the horizon
    widen : float, by how much the ranges of the forecast are widened, 1 or more, as
        `corrosion.forecast.widening_asked` gives it; 1 leaves them as they were fitted
    remembered : Remembered, optional
        What was worked out last, for a process that asks again after each entry: logs of which no
        file changed are neither read again nor checked again by the rules that look at them
        alone, and the sample of a large fleet does not climb again while nothing of it changed.
        The answer is the same; but of thousands of hulls, where no moment is named, it is of the
        full hour, within which whatever an entry does not touch stands.

    Returns
    -------
    Appraisal

    Raises
    ------
    Refusal
        A log is missing or refused, or there is too little to say anything.
    """
    with (Remembered() if remembered is None else remembered).turned() as last:
        logbook = read_fleet(folder, on, remembered=last, to_the_hour=remembered is not None)
        checked = check_logs(logbook, remembered=last)
        require_enough(checked)
        exposure = exposure_until_now(checked, last)
        # of its own, so that logs which are no longer the last ones are let go before the fit
        of_fit = None if remembered is None else last.of("of the fit", (), Remembered)
    del last  # what nobody asked to have remembered is let go
    return appraise_from(checked, exposure, days, widen, of_fit)


def appraise_from(
    checked: Checked,
    exposure: Exposure,
    days: int = 7,
    widen: float = 1.0,
    remembered: Remembered | None = None,
) -> Appraisal:
    """Fit and forecast a fleet whose logs are checked and whose hours are summed.

    Parameters
    ----------
    checked : Checked
    exposure : Exposure, until now
    days, widen
        As `appraise` takes them.
    remembered : Remembered, optional
        What the last fit worked out, as `corrosion.life_model.fit_life` takes it.

    Returns
    -------
    Appraisal

    Raises
    ------
    TooLittle
        No anode was ever fitted or read.
    """
    lives = build_lives(checked)
    if lives.lives.empty:
        raise TooLittle(
            "readings, fittings: no anode of a hull of the fleet was ever fitted or read "
            f"until {_here(checked):%Y-%m-%d %H:%M}. Enter the fittings, or measure once."
        )
    with (Remembered() if remembered is None else remembered).turned() as last:
        fit = replace(fit_life(lives, exposure, last, _day_began_h(checked)), widen=widen)
        ahead = _use_ahead(checked, exposure, days, last)
        known = None if remembered is None else last
        return Appraisal(checked, forecast_fleet(fit, checked, ahead, days, known), fit)


def look_ahead(appraisal: Appraisal, days: int) -> Appraisal:
    """Carry the same fit another number of days ahead: the same logs, checks, hours and rates.

    Parameters
    ----------
    appraisal : Appraisal
    days : int, the horizon

    Returns
    -------
    Appraisal
        As `appraise` gives it of the same logs at the same moment.
    """
    checked, fit = appraisal.checked, appraisal.life
    ahead = use_ahead(checked, fit.exposure, days)
    return Appraisal(checked, forecast_fleet(fit, checked, ahead, days), fit)


def _use_ahead(checked: Checked, exposure: Exposure, days: int, last: Remembered) -> Ahead:
    """Say what every hull is expected to do, unless it was said of the same hours and bookings."""
    inputs = (exposure, checked.logbook.on, days, checked.bookings, checked.water_samples)
    return last.of("use ahead", inputs, lambda: use_ahead(checked, exposure, days))


def _day_began_h(checked: Checked) -> float:
    """Return when the day of the report began by the fleet's own calendar, hours since 1970."""
    began = midnight_before(checked.logbook.on, checked.logbook.settings.timezone)
    return float(hours_since_epoch(pd.DatetimeIndex([began]))[0])


def require_enough(checked: Checked) -> None:
    """Refuse where no hull in service has a layout, a berth and positions to look at."""
    serving = checked.hulls[checked.hulls["hull_id"].isin(in_service(checked))]
    if serving.empty:
        raise TooLittle(
            f"hulls: no hull is in service on {_here(checked):%Y-%m-%d}. "
            "Enter the fleet's hulls, or ask for another date."
        )
    if not serving["hull_id"].isin(checked.berths["hull_id"]).any():
        raise TooLittle(
            "berths: no hull in service has a berth yet. "
            "Enter where each hull lives, and since when."
        )
    if not serving["layout"].isin(checked.anode_positions["layout"]).any():
        raise TooLittle(
            "anode_positions: no layout of a hull in service has usable positions. "
            "Enter each layout's anodes with new and limit size."
        )


def _here(checked: Checked) -> pd.Timestamp:
    """Return the moment of the report as the fleet's own clocks show it."""
    return checked.logbook.on.tz_convert(checked.logbook.settings.timezone)
