"""Lay lives, looks and hours out as the arrays that the life model is fitted to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
import pandas as pd

from corrosion.common import Codes, Floats, Remembered
from corrosion.exposure import Exposure, Lives
from corrosion.life_model.clock_terms import (
    Terms,
    alloy_pairs,
    find_terms,
)
from corrosion.life_model.kalman import Steps, lay_out
from corrosion.life_model.known_spans import Spans, pack_spans
from corrosion.life_model.packed_hours import PackedHours

FITTED_SIZE_MM = 0.06
"""How closely a new anode keeps to the size written for it (common practice, no source)."""
RANGE_EDGE = 0.05
"""Error of the edges of a by-eye range, share of the allowance (common practice, no source)."""
VERDICT_ERROR = 0.10
"""How far off the limit a look without a caliper can be, share of the allowance (common
practice: half gone by eye is good to 15 points)."""
WILDEST = (-1.0, 3.0)
"""Shares of the allowance beyond which a look is just wild: further off says nothing more."""
CALIPER, BY_EYE, VERDICT = 0, 1, 2


@dataclass(frozen=True)
class Crust:
    """Crust on anodes that nobody cleaned: its mean, mm, and how far it widens a look's error."""

    mean_mm: float
    widens: float


NO_CRUST = Crust(0.0, 1.0)


@dataclass(frozen=True)
class Design:
    """Everything the likelihood needs; looks in step order, lives in place order.

    Attributes
    ----------
    steps : Steps
    terms : Terms
    positions : DataFrame, one row an anode position: layout, position, circuit, allowance_mm,
        loss_per_wear (size lost per depth of metal lost), anodes
    hulls : int, number of hull codes
    position, hull : ndarray of int, shape (k,), of each life
    alloy : ndarray of int, shape (k,), 0 where the anode is of the alloy that is listed for its
        position, else the code of the pair (`Terms.alloys`)
    start_worn, start_error : ndarray, shape (k,), share of the allowance; variance of the start
    start_caliper : ndarray, shape (k,), 1 / allowance_mm where the start was a caliper look, else 0
    worn : ndarray, shape (n,), what the look said, share of the allowance
    kind : ndarray of int, shape (n,), CALIPER, BY_EYE or VERDICT
    error : ndarray, shape (n,): 1 / allowance_mm for a caliper, else a variance of its own
    spent : ndarray of bool, shape (n,), verdict 'worn'
    uncleaned : ndarray of bool, shape (n,), nobody says that the anode was cleaned first
    trust : ndarray, shape (n,), 1, or less where a reading is doubtful or out of line
    unsure : ndarray, shape (n,), squared share by which the clock's gain since the look before is
        not known, where use was not written down; 0 where it was
    jump : ndarray, shape (n,), variance of a jump in wear just before the look, 0 where none shows
    hours : PackedHours of n looks, hours since the start of the life
    growth : float, how much faster a spent anode wears than a new one; looks are straightened by it
        (`corrosion.life_model.wear_acceleration`), so worn and its errors are even shares of a life
    crust : Crust or None, what uncleaned looks were taken to be crusted by
        (`corrosion.life_model.crust`)
    """

    steps: Steps
    terms: Terms
    positions: pd.DataFrame
    hulls: int
    position: Codes
    hull: Codes
    alloy: Codes
    start_worn: Floats
    start_error: Floats
    start_caliper: Floats
    worn: Floats
    kind: Codes
    error: Floats
    spent: np.ndarray
    uncleaned: np.ndarray
    trust: Floats
    jump: Floats
    unsure: Floats
    hours: PackedHours
    growth: float = 0.0
    crust: Crust | None = None

    @property
    def life(self) -> Codes:
        """Return the place of each look's life, shape (n,)."""
        return self.steps.life

    @cached_property
    def per_mm(self) -> Floats:
        """Return the share of the allowance that a mm of surface takes, shape (positions,)."""
        per_mm = self.positions["loss_per_wear"] / self.positions["allowance_mm"]
        return per_mm.to_numpy(float)

    @cached_property
    def position_seen(self) -> Codes:
        """Return the position of each look, shape (n,)."""
        return self.position[self.life]

    @cached_property
    def since_start(self) -> Floats:
        """Return what each look says of the wear since the start of its life, shape (n,)."""
        return np.asarray(self.worn - self.start_worn[self.life])

    @cached_property
    def own_error(self) -> Floats:
        """Return the variance of each look, fully trusted, for a reading error of 1, shape (n,)."""
        return np.asarray(np.where(self.kind == CALIPER, self.error**2, self.error))

    def with_looks(self, worn: Floats, error: Floats, trust: Floats, jump: Floats) -> Design:
        """Return the same design with other values, variances, trust and jumps of the looks."""
        return replace(self, worn=worn, error=error, trust=trust, jump=jump)

    def but_for(self, hulls: np.ndarray, other: Design) -> Design:
        """Return the same design, looks at some hulls (shape (hulls,)) believed as in another."""
        theirs = hulls[self.hull[self.life]]
        names = ("worn", "error", "trust", "jump")
        return self.with_looks(
            *(np.where(theirs, getattr(other, name), getattr(self, name)) for name in names)
        )


def build_design(
    lives: Lives, exposure: Exposure, flooded: bool = False, remembered: Remembered | None = None
) -> Design:
    """Lay the fleet's lives out for the fit.

    Parameters
    ----------
    lives : Lives
    exposure : Exposure
    flooded : bool, let hours afloat act on engine circuits too
    remembered : Remembered, optional
        The last design's hours: those of looks that it knew are not summed again.

    Returns
    -------
    Design
    """
    table, looks = lives.lives, lives.looks
    steps = lay_out(looks["life"].to_numpy(np.intp), len(table))
    table, looks = table.iloc[steps.lives], looks.iloc[steps.order]
    positions = _positions(lives.lives)
    place = pd.MultiIndex.from_frame(positions[["layout", "position"]])
    hull = exposure.hull_ids.get_indexer(pd.Index(table["hull_id"]))
    pairs, alloy = alloy_pairs(table)
    terms = find_terms(exposure, sorted(positions["circuit"].unique()), pairs, flooded)
    engine = (table["circuit"] == "engine").to_numpy(bool)[steps.life]
    start_h, at_h = table["start_h"].to_numpy(float)[steps.life], looks["at_h"].to_numpy(float)
    allowance = table["allowance_mm"].to_numpy(float)
    spans = Spans(hull[steps.life], engine, alloy[steps.life], start_h, at_h)
    by_look = table["started"].isin(["first look", "change"]).to_numpy(bool)
    return Design(
        steps=steps,
        terms=terms,
        positions=positions,
        hulls=len(exposure.hull_ids),
        position=place.get_indexer(pd.MultiIndex.from_frame(table[["layout", "position"]])),
        hull=hull,
        alloy=alloy,
        start_worn=table["start_worn"].to_numpy(float),
        start_error=np.where(by_look, 0.0, (FITTED_SIZE_MM / allowance) ** 2),
        start_caliper=np.where(by_look, 1 / allowance, 0.0),
        hours=_packed(exposure, terms, spans, flooded, remembered),
        unsure=_unsure(exposure, steps, hull[steps.life], start_h, at_h),
        **_looks(looks, allowance[steps.life]),  # type: ignore[arg-type]  # arrays, by name
    )


def _packed(
    exposure: Exposure, terms: Terms, spans: Spans, flooded: bool, remembered: Remembered | None
) -> PackedHours:
    """Return the hours between start and look."""
    if remembered is None:
        return pack_spans(exposure, terms, spans, None)[0]
    packed, _ = remembered.onward(
        ("hours of looks", flooded),
        lambda last: pack_spans(exposure, terms, spans, None if last is None else last[1]),
    )
    return packed


def _unsure(exposure: Exposure, steps: Steps, hull: Codes, start_h: Floats, at_h: Floats) -> Floats:
    """Return how far use between each look and the one before is a guess, as a squared share."""
    filling = exposure.filling
    if filling is None:
        return np.zeros(at_h.size)
    before = start_h.copy()
    for earlier, later in pairwise(steps.slices):
        before[later] = at_h[earlier][: later.stop - later.start]
    guessed = filling.engine_between(hull, before, at_h)
    running = (exposure.cells["state"] == "running").to_numpy(bool)
    all_h = exposure.between(hull, before, at_h).plain
    used = all_h[:, running[: all_h.shape[1]]].sum(axis=1)
    return np.asarray((filling.spread[hull] * guessed / np.maximum(used, 1e-6)) ** 2)


def _positions(lives: pd.DataFrame) -> pd.DataFrame:
    keys = ["layout", "position", "circuit", "allowance_mm"]
    table = lives.groupby(keys).size().rename("anodes").reset_index()
    gauge = lives.drop_duplicates(["layout", "position"])[["layout", "position", "gauge"]]
    table = table.merge(gauge, on=["layout", "position"])
    # a round anode loses diameter on both sides
    return table.assign(loss_per_wear=np.where(table["gauge"] == "diameter", 2.0, 1.0))


def _looks(looks: pd.DataFrame, allowance: Floats) -> dict[str, np.ndarray]:
    said = looks["kind"].to_numpy(object)
    kind = np.select([said == "size", said == "range"], [CALIPER, BY_EYE], default=VERDICT)
    width = (looks["worn_high"] - looks["worn_low"]).abs().to_numpy(float)
    by_eye = width**2 / 12 + RANGE_EDGE**2
    # a verdict starts as a look that says next to nothing; the fit gives it its say
    own = np.select([kind == CALIPER, kind == BY_EYE], [1 / allowance, by_eye], default=1e3)
    return {
        "worn": np.where(kind == VERDICT, 0.5, looks["worn"].clip(*WILDEST).to_numpy(float)),
        "kind": kind,
        "error": own,
        "spent": looks["spent"].to_numpy(bool),
        "uncleaned": looks["uncleaned"].to_numpy(bool),
        "trust": np.where(looks["doubtful"].to_numpy(bool), 1 / 9, 1.0),
        "jump": np.zeros(kind.size),
    }
