"""The links of the chain one by one, for tests that look between them."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from corrosion.common import hours_since_epoch
from corrosion.exposure.drying import DRYING_GRID_H
from corrosion.exposure.hours_by_state import Exposure, build_exposure
from corrosion.exposure.wear import Lives, build_lives
from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs

ON = "2031-06-01"


@dataclass(frozen=True)
class Links:
    """A fleet after checking, with its hours and its anode lives."""

    checked: Checked
    exposure: Exposure
    lives: Lives


def links(fleet: FleetLogs, on: str = ON) -> Links:
    """Write the fleet to a folder of its own, read it back and go as far as the lives."""
    with tempfile.TemporaryDirectory() as folder:
        return links_of(fleet.write(Path(folder)), on)


def links_of(folder: Path, on: object) -> Links:
    checked = check_logs(read_fleet(folder, on))
    return Links(checked, build_exposure(checked), build_lives(checked))


def hour(moment: str | pd.Timestamp) -> float:
    """Hours since 1970 of a UTC moment."""
    return float(hours_since_epoch(pd.DatetimeIndex([pd.Timestamp(moment)]).tz_localize("UTC"))[0])


def spent(
    exposure: Exposure,
    hull_id: str,
    state: str,
    first: str | float,
    last: str | float,
    drying_h: float = 25.0,
    *,
    warm: bool = False,
    **cell: str,
) -> float:
    """Hours (or degree hours) in the cells of a state, summed; drying at a knot of the grid."""
    begin, end = (hour(m) if isinstance(m, str) else m for m in (first, last))
    code = exposure.hull_ids.get_indexer(pd.Index([hull_id]))
    hours = exposure.between(code, np.array([begin]), np.array([end]))
    cells = exposure.cells
    wet = cells["state"] == "unflushed"
    wanted = (cells["state"] == state) & pd.concat(
        [cells[k] == v for k, v in cell.items()] or [wet | True], axis=1
    ).all(axis=1)
    if state == "unflushed":
        knot = int(np.flatnonzero(drying_h == DRYING_GRID_H)[0])
        part = (hours.drying_warm if warm else hours.drying)[0, :, knot]
        return float(part[wanted[wet].to_numpy(bool)].sum())
    part = (hours.plain_warm if warm else hours.plain)[0]
    return float(part[wanted[~wet].to_numpy(bool)].sum())
