"""Parts on hand, where they lie, and when others can be there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from corrosion.records import Settings
from corrosion.workshop.plan.horizon import Horizon
from corrosion.workshop.stock import COMMON, pieces_on_hand


@dataclass(frozen=True)
class Stock:
    """Parts on hand at the moment of the plan.

    Attributes
    ----------
    common : mapping of part number to pieces that every mooring can take from
    at : mapping of part number to pieces by mooring
    arrives : mapping of part number to the first day on which an order placed now is there
    """

    common: Mapping[str, int]
    at: Mapping[str, Mapping[str, int]]
    arrives: Mapping[str, date]

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
        """Return whether not a single piece is there on a day."""
        return (
            part is not None and self.short(part, day) and not self.within_reach(part, mooring_id)
        )


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
    parts = {*settings.stock, *common, *at}
    lead = {part: settings.lead.get(part, settings.lead_days) for part in parts}
    return Stock(
        common,
        at,
        {part: today + timedelta(days=int(-(-days // 1))) for part, days in lead.items()},
    )
