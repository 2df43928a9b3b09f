"""The answer sheet of one simulated fleet."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from .anodes import Life, Look
from .craft import Hull, Position
from .physics import Floats, Physics
from .plans import Plan
from .strays import Stray
from .timeline import Timeline
from .use import Use
from .waters import Mooring

HOUR = pd.Timedelta(hours=1)


@dataclass(frozen=True)
class TrueFleet:
    """A fleet's logs, and everything that only its maker knows.

    Attributes
    ----------
    tables
        The logs of the contract, as they are written.
    planted
        Mistakes put into the logs on purpose: `log`, `row` (place in the log), `mistake`.
    lives
        Every anode, worn from its fitting to the simulated end.
    all_looks
        Every look at an anode, with the truth that it saw.
    strays
        Hulls, berths and anodes that do not behave.
    alloy_paces
        Of each alloy fitted beside the listed one: its pace by water against that.
    """

    kind: str
    seed: int
    plan: Plan
    physics: Physics
    start: pd.Timestamp
    moorings: list[Mooring]
    layouts: dict[str, list[Position]]
    hulls: list[Hull]
    uses: list[Use]
    timelines: list[Timeline]
    lives: list[Life]
    all_looks: list[Look]
    strays: list[Stray]
    tables: dict[str, pd.DataFrame]
    planted: pd.DataFrame
    alloy_paces: dict[str, Floats] = field(default_factory=dict)

    @property
    def end(self) -> pd.Timestamp:
        """The end of the logs."""
        return self.start + pd.Timedelta(days=self.plan.days)

    def hours(self, moment: pd.Timestamp | str) -> float:
        """Hours from the start of the fleet to a moment (UTC when naive)."""
        stamp = pd.Timestamp(moment)
        stamp = stamp.tz_localize("UTC") if stamp.tzinfo is None else stamp
        return float((stamp - self.start) / HOUR)

    def dates(self, count: int) -> list[pd.Timestamp]:
        """Forecast dates spread over the last half of the logs, at midnight."""
        days = np.linspace(self.plan.days * 0.5, self.plan.days * 0.97, count)
        return [self.start + pd.Timedelta(days=int(day)) for day in days]

    def outcome(self, on: pd.Timestamp | str, days: float) -> pd.DataFrame:
        """What becomes of each anode in service at `on` if nobody touches it.

        Parameters
        ----------
        on
            The moment of the forecast.
        days
            The horizon, in days.

        Returns
        -------
        DataFrame
            A row for each anode: `hull_id`, `position`, `fitted_at`, `worn_true` (at `on`),
            `worn_then` (at the horizon), `crossed` (worn reaches 1 by the horizon), `days_left`
            (0 when past already, inf when not reached by the simulated end) and `seen_days`
            (days from `on` to the simulated end, beyond which a life is censored).
        """
        on_h = self.hours(on)
        in_service = [life for life in self.lives if self._in_service(life, on_h)]
        columns = ["hull_id", "position", "fitted_at", "worn_true", "worn_then", "crossed"]
        rows = [self._fate(life, on_h, days) for life in in_service]
        return pd.DataFrame(rows, columns=[*columns, "days_left", "seen_days"])

    def _in_service(self, life: Life, on_h: float) -> bool:
        hull = next(each for each in self.hulls if each.hull_id == life.hull_id)
        return life.fitted_h <= on_h < min(life.removed_h, hull.leaves_day * 24.0)

    def _fate(self, life: Life, on_h: float, days: float) -> tuple[object, ...]:
        left_h = max(life.crossing_h() - on_h, 0.0)
        return (
            life.hull_id,
            life.position.position,
            self.start + life.fitted_h * HOUR,
            life.worn_at(on_h),
            life.worn_at(on_h + 24 * days),
            left_h <= 24 * days,
            left_h / 24,
            (life.bound_h[-1] - on_h) / 24,
        )
