"""Anode lives by mooring, in the exposure that wears them, for the curves that people know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
from scipy.special import ndtr

from corrosion.common import HOURS_A_DAY, Codes, Floats
from corrosion.comparison.moorings.raw import mooring_at
from corrosion.exposure import Exposure, brackets
from corrosion.life_model import surface_lost, wearing_columns

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal

UNITS = {"engine": "engine hours", "hull": "days fitted"}
"""What a life is counted in, by circuit."""
LATE_H = 14 * HOURS_A_DAY
"""A fitting written down so much later was written because the anode still was there."""
COLUMNS = (
    *("hull_id", "position", "mooring_id", "water", "circuit", "entry", "low", "high", "ended"),
    *("life", "start_h", "until_h"),
)


@dataclass(frozen=True)
class MooringLives:
    """Lives that were lived at one mooring, and how many were not.

    Attributes
    ----------
    table : DataFrame, lives as `corrosion.comparison.survival` takes them, with `life` (its
        number), `start_h` and `until_h` (hours since 1970, fitted and last looked at or taken out)
    circuit : str
    unit : str, what exposure is counted in
    moved : int, lives left out because their hull moved meanwhile
    unknown : int, lives left out because their fitting, or their hours since, are not on record
    """

    table: pd.DataFrame
    circuit: str
    unit: str
    moved: int
    unknown: int


def mooring_lives(appraisal: Appraisal, circuit: str = "engine") -> MooringLives:
    """Return the lives of one circuit's anodes, each at the mooring where all of it was lived.

    A life begins at a fitting on record. One that was written down late, weeks after the fitting,
    is in the logs only because it lasted until then, so its watch begins there (late entry). One
    fitted before outings were logged has hours that nobody knows, and one whose hull moved between
    moorings belongs to neither: both are left out, counted.

    Parameters
    ----------
    appraisal : Appraisal
    circuit : {'engine', 'hull'}
        Lives of engine-circuit anodes are counted in engine hours, of hull-circuit ones in days.

    Returns
    -------
    MooringLives
    """
    exposure, lives = appraisal.exposure, appraisal.lives
    on_circuit = lives.lives["circuit"] == circuit
    table = brackets(lives).join(lives.lives[["circuit", "known_h"]]).reset_index(names="life")
    table = table[(table["circuit"] == circuit) & (table["start_h"] > _logged_since(exposure))]
    unknown = int(on_circuit.sum()) - len(table)
    high = table["high_h"].where(np.isfinite(table["high_h"]), table["low_h"])
    table = table.assign(until_h=table["start_h"] + high)
    home = _homes(exposure, table)
    stayed = home >= 0
    table, home = table[stayed], home[stayed]
    table = table.assign(
        mooring_id=exposure.mooring_ids.to_numpy(object)[home],
        water=exposure.waters.to_numpy(object)[home],
    )
    counted = _counted(exposure, circuit, table.assign(written_h=_written(table)))
    return MooringLives(
        counted[list(COLUMNS)].reset_index(drop=True),
        circuit,
        UNITS[circuit],
        int((~stayed).sum()),
        unknown,
    )


def _homes(exposure: Exposure, table: pd.DataFrame) -> Codes:
    """Return the mooring code at which each life was lived, -1 where there was more than one."""
    hull = _hulls(exposure, table)
    codes = pd.Series(hull, index=table.index)
    first, last = (mooring_at(exposure, codes, table[c]) for c in ("start_h", "until_h"))
    stayed = (first == last) & ~_away_between(exposure, hull, table)
    return np.where(stayed, first, -1)


def _hulls(exposure: Exposure, table: pd.DataFrame) -> Codes:
    return exposure.hull_ids.get_indexer(pd.Index(table["hull_id"])).astype(np.intp)


def _counted(exposure: Exposure, circuit: str, table: pd.DataFrame) -> pd.DataFrame:
    """Add entry, low and high in the circuit's unit; no watch begins before `written_h`."""
    hull, start = _hulls(exposure, table), table["start_h"].to_numpy(float)
    worn = np.isfinite(table["high_h"].to_numpy(float))
    ages = (
        np.maximum(table["written_h"].to_numpy(float) - start, 0.0),
        table["low_h"].to_numpy(float),
        np.where(worn, table["high_h"], 0.0),
    )
    entry, low, high = (_exposed(exposure, circuit, hull, start, start + age) for age in ages)
    low = np.maximum(low, entry)
    return table.assign(entry=entry, low=low, high=np.where(worn, np.maximum(high, low), np.inf))


def _logged_since(exposure: Exposure) -> float:
    """Return the hour since which hours are on record, with some slack."""
    outings = exposure.outings["start_h"]
    return float(outings.min()) - LATE_H if len(outings) else -np.inf


def _written(table: pd.DataFrame) -> Floats:
    """Return when each fitting was written down, where that was weeks later; else its start."""
    start, known = table["start_h"].to_numpy(float), table["known_h"].to_numpy(float)
    return np.where(known > start + LATE_H, known, start)


def _away_between(exposure: Exposure, hull: Codes, table: pd.DataFrame) -> np.ndarray:
    """Tell whether the hull had another mooring between the ends of each life."""
    moves = exposure.berths.assign(before=exposure.berths.groupby("hull")["mooring"].shift())
    moves = moves[moves["before"].notna() & (moves["before"] != moves["mooring"])]
    start, until = table["start_h"].to_numpy(float), table["until_h"].to_numpy(float)
    away = np.zeros(len(table), dtype=bool)
    for move in moves.itertuples():
        away |= (hull == move.hull) & (start < move.start_h) & (until > move.start_h)
    return away


def _exposed(exposure: Exposure, circuit: str, hull: Codes, from_h: Floats, to_h: Floats) -> Floats:
    """Return engine hours, or days, between moments, shape (n,)."""
    if circuit != "engine":
        return np.asarray((to_h - from_h) / HOURS_A_DAY)
    plain = exposure.cells[exposure.cells["state"] != "unflushed"]
    running = (plain["state"] == "running").to_numpy(bool)
    return np.asarray(exposure.between(hull, from_h, to_h).plain[:, running].sum(axis=1))


def expected_curve(appraisal: Appraisal, lives: MooringLives, mooring_id: str) -> pd.DataFrame:
    """Return the share of a mooring's anodes still sound by exposure, as the life model has it.

    The mooring's own mix of anodes, each worn at the usual rate of its position there under the use
    that its hulls had, spread as hulls, anodes and chance spread. Anodes pulled early count like
    any other, so this is where the curve of worn anodes alone would lie if none had been.

    Parameters
    ----------
    appraisal : Appraisal
    lives : MooringLives
    mooring_id : str

    Returns
    -------
    DataFrame with exposure (unit of the lives), sound (0..1)
    """
    table = lives.table[lives.table["mooring_id"] == mooring_id]
    rate, weight = _rates(appraisal, lives.circuit, table)
    if not len(rate):
        return pd.DataFrame({"exposure": [0.0], "sound": [1.0]})
    rates = appraisal.fit.evaluation.rates
    longest = float(np.nanmax(np.append(table["low"], table["high"].replace(np.inf, np.nan))))
    exposure = np.linspace(0.0, 1.25 * max(longest, 1.0), 126)
    mean = rate[:, None] * exposure
    spread = (rates.hull_sd**2 + rates.anode_sd**2) * mean**2 + rates.process_sd**2 * mean
    sound = ndtr((1.0 - mean) / np.sqrt(np.maximum(spread, 1e-12)))
    return pd.DataFrame({"exposure": exposure, "sound": weight @ sound / weight.sum()})


def _rates(appraisal: Appraisal, circuit: str, table: pd.DataFrame) -> tuple[Floats, Floats]:
    """Return wear by the model a unit of exposure, one a position, and how many lives each has."""
    fit = appraisal.life
    design, evaluation = fit.model.design, fit.results.evaluation
    table = table[table["until_h"] > table["start_h"]]
    if table.empty:
        return np.zeros(0), np.zeros(0)
    hull = _hulls(fit.exposure, table)
    ends = table["start_h"].to_numpy(float), table["until_h"].to_numpy(float)
    engine = np.full(len(table), circuit == "engine")
    of_life = np.empty(len(fit.lives.lives), dtype=np.intp)
    of_life[design.steps.lives] = np.arange(of_life.size)
    life = of_life[table["life"].to_numpy(np.intp)]
    hours, position = fit.exposure.between(hull, *ends), design.position[life]
    columns = wearing_columns(design.terms, hours, engine, design.alloy[life])
    worn = (
        surface_lost(columns, design.terms, evaluation.rates).mm
        * evaluation.rates.share_per_mm[position]
    )
    units = _exposed(fit.exposure, circuit, hull, *ends)
    count = len(design.positions)
    worn = np.bincount(position, worn, minlength=count).astype(float)
    units = np.bincount(position, units, minlength=count).astype(float)
    lives = np.bincount(position, minlength=count).astype(float)
    known = (units > 0) & (worn > 0)
    return worn[known] / units[known], lives[known]
