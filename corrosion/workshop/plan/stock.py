"""Parts on hand, where they lie, and when others can be there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

import pandas as pd

from corrosion.records import Settings
from corrosion.workshop.plan.horizon import Horizon
from corrosion.workshop.stock import COMMON, pieces_on_hand


@dataclass(frozen=True)
class Courier:
    """A part sent for now: the first day on which it is there, its cost (currency), days."""

    day: date
    cost: float
    days: float


@dataclass(frozen=True)
class Stock:
    """Parts on hand at the moment of the plan.

    Attributes
    ----------
    common : mapping of part number to pieces that every mooring can take from
    at : mapping of part number to pieces by mooring
    arrives : mapping of part number to the first day on which an order placed now is there
    couriers : mapping of part number to what a courier can do
    """

    common: Mapping[str, int]
    at: Mapping[str, Mapping[str, int]]
    arrives: Mapping[str, date]
    couriers: Mapping[str, Courier] = field(default_factory=dict)

    def counted(self, part: str | None) -> bool:
        """Return whether anybody counted the part; of others any number is taken to be there."""
        return part in self.arrives

    def short(self, part: str, day: date) -> bool:
        """Return whether no more pieces than those on hand can be there on a day."""
        return part in self.arrives and day < self.arrives[part]

    def within_reach(self, part: str, mooring_id: str) -> int:
        """Return the pieces that a mooring can take."""
        return self.common.get(part, 0) + self.at.get(part, {}).get(mooring_id, 0)

    def missing(self, part: str | None, mooring_id: str, day: date) -> bool:
        """Return whether not a single piece can be there on a day, not even by courier."""
        if part is None or not self.short(part, day) or self.within_reach(part, mooring_id):
            return False
        return part not in self.couriers or day < self.couriers[part].day


def count_stock(settings: Settings, moves: pd.DataFrame, horizon: Horizon) -> Stock:
    """Count parts: what `fleet.toml` says is on hand, and what came and went by the log.

    Parameters
    ----------
    settings : Settings
    moves : DataFrame, the log `stock_moves`: part_number, pieces, mooring_id
    horizon : Horizon

    Returns
    -------
    Stock, never less than no piece
    """
    common: dict[str, int] = {}
    at: dict[str, dict[str, int]] = {}
    for part, place, pieces in pieces_on_hand(settings, moves).itertuples(index=False):
        if place == COMMON:
            common[part] = pieces
        else:
            at.setdefault(part, {})[place] = pieces
    today = horizon.on.tz_convert(horizon.zone).date()
    parts = {*settings.stock, *common, *at, *settings.express}
    lead = {part: settings.lead.get(part, settings.lead_days) for part in parts}
    arrives = {part: today + timedelta(days=int(-(-days // 1))) for part, days in lead.items()}
    couriers = {
        part: Courier(today + timedelta(days=int(-(-each.days // 1))), each.cost, each.days)
        for part, each in settings.express.items()
        if part in arrives and each.days < lead[part]
    }
    return Stock(common, at, arrives, couriers)
