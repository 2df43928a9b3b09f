"""Everything that is said of a fleet's moorings, worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from corrosion.common import TooLittle
from corrosion.comparison.hazards import proportional_hazards
from corrosion.comparison.moorings.comparison import FEWEST_HULLS, Comparison, compare
from corrosion.comparison.moorings.likeness import hulls_by_mooring, likeness
from corrosion.comparison.moorings.lives import MooringLives, expected_curve, mooring_lives
from corrosion.comparison.moorings.reach import reach_of_looks
from corrosion.comparison.moorings.water_record import water_kept, water_record
from corrosion.comparison.survival import endings, life_curve, log_rank, still_watched
from corrosion.comparison.turnbull import turnbull
from corrosion.records import CIRCUITS

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal

FEWEST_WORN = 1
TICKS = 5


@dataclass(frozen=True)
class Curves:
    """Life curves of one circuit's anodes at the moorings that are compared.

    Attributes
    ----------
    lives : MooringLives, of compared moorings alone
    endings : DataFrame, how lives ended, one row a mooring
    counted : DataFrame, Kaplan-Meier, one row a step: group (the mooring), exposure, sound, low,
        high
    brackets : DataFrame, Turnbull's estimate: group, after, to, sound
    model : DataFrame, the life model's own: group, exposure, sound
    watched : DataFrame, anodes under watch: group, exposure, anodes
    log_rank : str, what the log-rank test says, or why there is none
    hazards : DataFrame, proportional hazards against the mooring with most lives: mooring_id,
        against, ratio, low, high; empty with the reason in `no_hazards`
    no_hazards : str
    """

    lives: MooringLives
    endings: pd.DataFrame
    counted: pd.DataFrame
    brackets: pd.DataFrame
    model: pd.DataFrame
    watched: pd.DataFrame
    log_rank: str
    hazards: pd.DataFrame
    no_hazards: str


@dataclass(frozen=True)
class MooringStudy:
    """All that a page about moorings shows.

    Attributes
    ----------
    comparison : Comparison
    hulls : DataFrame of `hulls_by_mooring`
    likeness : DataFrame of `likeness`
    curves : mapping of circuit to Curves; a circuit that was never looked at is left out
    reach : DataFrame of `reach_of_looks`
    water : DataFrame of `water_kept`
    samples : DataFrame of `water_record`
    """

    comparison: Comparison
    hulls: pd.DataFrame
    likeness: pd.DataFrame
    curves: dict[str, Curves]
    reach: pd.DataFrame
    water: pd.DataFrame
    samples: pd.DataFrame


def study_moorings(appraisal: Appraisal) -> MooringStudy:
    """Work out everything that is said of the moorings.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    Study
    """
    comparison, hulls = compare(appraisal), hulls_by_mooring(appraisal)
    table = comparison.table
    shown = list(table.loc[table["compared"], "mooring_id"])
    by_circuit = {c: _curves(appraisal, c, shown) for c in CIRCUITS}
    # lives on the hull circuit are counted in days, which say nothing of engine hours
    in_engine = by_circuit.get("engine") if comparison.circuit == "engine" else None
    return MooringStudy(
        comparison,
        hulls,
        likeness(hulls),
        {circuit: curves for circuit, curves in by_circuit.items() if curves is not None},
        reach_of_looks(comparison, None if in_engine is None else in_engine.lives),
        water_kept(appraisal.checked),
        water_record(appraisal.checked),
    )


def _curves(appraisal: Appraisal, circuit: str, shown: list[str]) -> Curves | None:
    lives = mooring_lives(appraisal, circuit)
    hulls = lives.table.groupby("mooring_id")["hull_id"].nunique()
    enough = hulls.index[hulls >= FEWEST_HULLS].intersection(shown)
    table = lives.table[lives.table["mooring_id"].isin(enough)].reset_index(drop=True)
    try:
        counted = life_curve(table, "mooring_id")
    except TooLittle:
        return None
    lives = MooringLives(table, circuit, lives.unit, lives.moved, lives.unknown)
    names = sorted(counted["group"].unique())
    hazards, no_hazards = _hazards(table)
    return Curves(
        lives,
        endings(table, "mooring_id"),
        counted,
        pd.concat([_brackets(table, name) for name in names], ignore_index=True),
        pd.concat(
            [expected_curve(appraisal, lives, n).assign(group=n) for n in names], ignore_index=True
        ),
        still_watched(table, _ticks(counted), "mooring_id"),
        _log_rank(table),
        hazards,
        no_hazards,
    )


def _brackets(table: pd.DataFrame, mooring_id: str) -> pd.DataFrame:
    own = table[(table["mooring_id"] == mooring_id) & (table["high"] > table["entry"])]
    estimate = turnbull(own["low"], own["high"], own["entry"])
    return estimate[["after", "to", "sound"]].assign(group=mooring_id)


def _ticks(counted: pd.DataFrame) -> list[float]:
    """Return round exposures over the span of the curves."""
    longest = float(counted["exposure"].max())
    step = 10 ** np.floor(np.log10(max(longest, 1.0) / TICKS))
    step *= min(m for m in (1, 2, 5, 10) if m * step * TICKS >= longest)
    return [float(x) for x in np.arange(0.0, longest, step)]


def _log_rank(table: pd.DataFrame) -> str:
    try:
        test = log_rank(table, "mooring_id")
    except TooLittle as refusal:
        return str(refusal)
    return (
        f"Log-rank test of all moorings alike: chi-square {test.chi_square:.1f} on "
        f"{test.degrees} degrees, p = {test.p_value:.2g}, from {test.worn} worn of "
        f"{test.lives} lives; it takes anodes of one hull for strangers, so the true p is larger."
    )


def _hazards(table: pd.DataFrame) -> tuple[pd.DataFrame, str]:
    """Return proportional hazards between moorings where anodes were seen worn, hulls clustered."""
    columns = ["mooring_id", "against", "ratio", "low", "high"]
    worn = table[np.isfinite(table["high"])].groupby("mooring_id").size()
    worn_moorings = table[table["mooring_id"].isin(worn[worn >= FEWEST_WORN].index)]
    if worn_moorings["mooring_id"].nunique() < 2:
        return pd.DataFrame(columns=columns), (
            "Fewer than two moorings have an anode that was seen worn: no hazards to compare."
        )
    against = worn_moorings["mooring_id"].value_counts().index[0]
    model = proportional_hazards(worn_moorings, ["mooring_id"])
    effects = model.effects.assign(
        mooring_id=model.effects["term"].str.removeprefix("mooring_id: "), against=against
    )
    if not model.converged or effects[["low", "high"]].isna().any(axis=None):
        return pd.DataFrame(columns=columns), "The regression did not settle: too few worn anodes."
    return effects[columns], ""
