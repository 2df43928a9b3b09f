"""What work, parts and lateness cost: the fleet's own figures, or stated ones."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.records import Settings

WAGE_PER_HOUR: Final = 40.0
MEASURE_MINUTES: Final = 5.0
ASSUMED: Final = {
    "part_cost": 25.0,
    "seal_cost": 0.0,
    "access_minutes": 20.0,
    "swap_minutes": 15.0,
    "late_cost": 1500.0,
}
"""Taken where a fleet says nothing at all; where it knows some positions, their median."""
SAID: Final = {
    "part_cost": "cost of a part",
    "access_minutes": "minutes to get at an anode",
    "swap_minutes": "minutes to change an anode",
    "late_cost": "cost of a late change",
}
MONEY: Final = ("part_cost", "late_cost")
OWN, PARTLY_OWN, TAKEN = BASES = ("own", "partly own", "taken for granted")
RULE_FACTOR: Final = 10.0
"""A hull past its pull-by is charged so many times the fleet's dearest late cost, by its risk."""


@dataclass(frozen=True)
class Prices:
    """What things cost in this fleet, currency.

    Attributes
    ----------
    positions : DataFrame, one row a layout and position, no cost unknown any more: layout,
        position, access_group, access_minutes, swap_minutes, part_cost, seal_cost, late_cost,
        part_number (unknown: None), order (of access)
    wage : float, currency per h
    haul_hours : float, h
    late_days : float, days past its limit that cost `late_cost` once
    overdue : float, currency a day for a hull that is sure to be past its limit, after its pull-by
    assumed : tuple of str, what was taken for granted
    basis : str, one of BASES: how much of the money (wage, parts, late changes) is the fleet's own
    """

    positions: pd.DataFrame
    wage: float
    haul_hours: float
    late_days: float
    overdue: float
    assumed: tuple[str, ...]
    basis: str = OWN


def read_prices(settings: Settings, positions: pd.DataFrame) -> Prices:
    """Fill in what a fleet does not say about its costs, and say so.

    Parameters
    ----------
    settings : Settings
    positions : DataFrame, the log `anode_positions`

    Returns
    -------
    Prices
    """
    table = positions.drop_duplicates(["layout", "position"]).copy()
    assumed = []
    for name, usual in ASSUMED.items():
        known = table[name].where(table[name] >= 0)
        value = float(known.median()) if known.notna().any() else usual
        if name in SAID and known.isna().any():
            assumed.append(_said(name, value, int(known.isna().sum()), len(table)))
        table[name] = known.fillna(value if name != "seal_cost" else 0.0)
    wage = settings.wage_per_hour
    if wage is None:
        wage = WAGE_PER_HOUR
        assumed.append(f"No wage_per_hour in fleet.toml: {formatting.number(wage)} is taken.")
    own = table["layout"].astype(str) + " " + table["position"].astype(str)
    table["access_group"] = table["access_group"].where(table["access_group"].notna(), own)
    table["part_number"] = table["part_number"].where(table["part_number"].notna(), None)
    dearest = float(table["late_cost"].max()) if len(table) else 0.0
    overdue = RULE_FACTOR * dearest / settings.late_days
    return Prices(
        _in_access_order(table), wage, settings.haul_hours, settings.late_days, overdue,
        tuple(assumed), _basis(settings, positions),
    )  # fmt: skip


def _basis(settings: Settings, positions: pd.DataFrame) -> str:
    """Say how much of the money is the fleet's own: all of it, some, or none."""
    known = [positions[name] >= 0 for name in MONEY]
    if settings.wage_per_hour is not None and all(column.all() for column in known):
        return OWN
    nothing = settings.wage_per_hour is None and not any(column.any() for column in known)
    return TAKEN if nothing else PARTLY_OWN


def _said(name: str, value: float, missing: int, of: int) -> str:
    where = "anywhere" if missing == of else f"for {missing} of {of} positions"
    unit = " min" if name.endswith("minutes") else ""
    return f"No {name} {where}: {formatting.number(value)}{unit} is taken as the {SAID[name]}."


def _in_access_order(table: pd.DataFrame) -> pd.DataFrame:
    """Number the positions of each layout in the order in which one gets at them."""
    table = table.sort_values(["layout", "access_minutes", "access_group", "position"])
    keep = ["layout", "position", "circuit", *ASSUMED, "access_group", "part_number"]
    table = table[keep].reset_index(drop=True)
    return table.assign(order=np.arange(len(table)), swap_h=table["swap_minutes"] / 60.0)
