"""Readings beside what they are judged by: the part, the anode, its neighbours in time, the noise.

Nothing here objects; it lays out, column by column, what the rules on sizes compare.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.records.checks.evidence import Evidence, Flags, LaidOut, flags_of, is_true
from corrosion.records.checks.lookback import (
    Places,
    engine_hours_until,
    hours_between,
    layout_of,
    place_before,
    values_at,
    water_at,
)
from corrosion.records.checks.watching import once

Numbers = npt.NDArray[np.float64]

# common practice, no source: a clean caliper reading repeats to about this
USUAL_NOISE_MM, LEAST_NOISE_MM, MOST_NOISE_MM = 0.15, 0.10, 0.60
ENOUGH_TRIPLES = 20
MAD_TO_SD = 1.4826
# a look at the anode that comes out may be written down after the new one went in
LATE_REMOVAL = pd.Timedelta(hours=6)
# read at the very minute of a fitting and this far below new: that was the old anode
BELOW_NEW_MM = 0.5


def lay_out_looks(evidence: Evidence) -> LaidOut:
    """Put part, anode and use beside each reading.

    Adds to `readings`: layout, new_size_mm, limit_size_mm, allowance_mm, gauge, circuit,
    alloy_listed, water; place (a number: a position of a layout), place_water (the same in one
    water), anode (a number: one anode of one hull, as far as fittings and removals say);
    fitted_at, start_mm (size as fitted), use and start_use (engine hours, or days for the hull
    circuit, since the log began).
    """
    readings = evidence["readings"]
    fittings = once(evidence, "fittings with use", _fittings_with_use)
    looks = _beside_part(readings, evidence)
    place = _fitting_before(readings, fittings, looks["new_size_mm"])
    engine, began = _engine(looks, evidence)
    place = _of_this_engine(place, fittings, began)
    looks["anode"] = _anode_number(readings, place, engine)
    water, waters = pd.factorize(looks["water"])
    looks["place_water"] = looks["place"] * (len(waters) + 1) + water
    looks["use"] = _use_until(looks, evidence, "read_at")
    looks["fitted_at"] = _at(fittings["fitted_at"], place, looks)
    looks["start_use"] = _at(fittings["use"], place, looks)
    size = _at(fittings["size_mm"], place, looks)
    fitted = looks["fitted_at"].notna()
    looks["start_mm"] = size.fillna(looks["new_size_mm"]).where(fitted)
    return "readings", looks


def set_beside_neighbours(evidence: Evidence) -> LaidOut:
    """Put the looks before and after, the usual wear and the reading error beside each reading.

    Only sizes that could be true and are not doubted count as neighbours; before the first of
    them stands the size as fitted, where a fitting is known.

    Adds to `readings`: before_mm, before_at, use_since; after_mm, after_at, use_until (the use
    between this look and its neighbours); earlier_mm (the look before the look before);
    looked_before (the neighbour is a look, not a fitting); noise_mm, rate_mm (per unit of use),
    expected_mm (from the neighbours alone).
    """
    looks = evidence["readings"].copy(deep=False)  # columns are added, and none is written into
    counted = _could_be_true(looks) & ~looks["doubtful"]
    before, after = _neighbours(looks["anode"].to_numpy(), counted.to_numpy())
    looked = flags_of(before >= 0, looks)
    looks["looked_before"] = looked
    looks["before_mm"] = _at(looks["size_mm"], before, looks).where(looked, looks["start_mm"])
    looks["earlier_mm"] = _at(looks["size_mm"], _again(before), looks)
    looks["before_at"] = _at(looks["read_at"], before, looks).where(looked, looks["fitted_at"])
    use_before = _at(looks["use"], before, looks).where(looked, looks["start_use"])
    looks["use_since"] = looks["use"] - use_before
    looks["after_mm"] = _at(looks["size_mm"], after, looks)
    looks["after_at"] = _at(looks["read_at"], after, looks)
    looks["use_until"] = _at(looks["use"], after, looks) - looks["use"]
    looks["rate_mm"] = _usual_rate(looks, counted & looked)
    looks["noise_mm"] = _reading_noise(looks, counted & looked)
    looks["expected_mm"] = _expected(looks)
    return "readings", looks


def wear_since(looks: pd.DataFrame) -> pd.Series:
    """Usual wear since the look before, mm; none where use or rate is unknown."""
    return (looks["rate_mm"] * looks["use_since"]).fillna(0.0).clip(lower=0.0)


def wear_until(looks: pd.DataFrame) -> pd.Series:
    """Usual wear until the look after, mm; none where use or rate is unknown."""
    return (looks["rate_mm"] * looks["use_until"]).fillna(0.0).clip(lower=0.0)


def _beside_part(readings: pd.DataFrame, evidence: Evidence) -> pd.DataFrame:
    positions = evidence["anode_positions"]
    columns = ["layout", "position", "new_size_mm", "limit_size_mm", "gauge", "circuit", "alloy"]
    register = positions[columns].rename(columns={"alloy": "alloy_listed"})
    # a column that is unknown throughout may carry a type that would not merge
    register = register.astype({"layout": object, "position": object})
    register = register.drop_duplicates(["layout", "position"])
    # the same spots again and again: each is looked up once
    code, _ = pd.factorize(readings["spot_no"])
    first = readings.drop_duplicates("spot_no")
    parts = first[["spot_no"]].assign(
        layout=layout_of(first, evidence).astype(object), position=first["position"].astype(object)
    )
    parts = parts.merge(register, on=["layout", "position"], how="left")
    parts["place"] = parts.groupby(["layout", "position"], sort=False, dropna=False).ngroup()
    parts["allowance_mm"] = parts["new_size_mm"] - parts["limit_size_mm"]
    beside = parts.drop(columns=["spot_no", "position"]).take(code).set_axis(readings.index)
    looks = readings.assign(water=water_at(readings, evidence, "read_at"))
    looks[list(beside.columns)] = beside
    return looks


def _fittings_with_use(evidence: Evidence) -> pd.DataFrame:
    fittings = evidence["fittings"]
    register = evidence["anode_positions"][["layout", "position", "circuit"]]
    keyed = fittings.assign(
        layout=layout_of(fittings, evidence).astype(object),
        position=fittings["position"].astype(object),
    )
    keyed = keyed.merge(register.astype(object), on=["layout", "position"], how="left")
    return keyed.assign(use=_use_until(keyed, evidence, "fitted_at"))


def _use_until(rows: pd.DataFrame, evidence: Evidence, at: str) -> Numbers:
    """Engine hours for the engine circuit, days for the hull circuit."""
    origin = pd.Timestamp("2000-01-01", tz="UTC")
    days = (rows[at] - origin).dt.total_seconds().to_numpy() / 86400.0
    engine = (rows["circuit"] == "engine").to_numpy()
    return np.where(engine, engine_hours_until(rows, evidence, at), days)


def _fitting_before(readings: pd.DataFrame, fittings: pd.DataFrame, new_mm: pd.Series) -> Places:
    """Place of the fitting of the anode that each reading looked at."""
    groups = ["spot_no"]
    removed = is_true(readings["removed"]).to_numpy()
    usual = place_before(readings, fittings, groups, "read_at", "fitted_at")
    out = readings[removed].assign(read_at=readings["read_at"][removed] - LATE_REMOVAL)
    usual[removed] = place_before(out, fittings, groups, "read_at", "fitted_at", strictly=True)
    at_once = _at(fittings["fitted_at"], usual, readings) == readings["read_at"]
    below_new = readings["size_mm"] < new_mm - BELOW_NEW_MM
    old = (at_once & below_new).to_numpy()
    after_removal = readings[old]
    usual[old] = place_before(
        after_removal, fittings, groups, "read_at", "fitted_at", strictly=True
    )
    return usual


def _engine(looks: pd.DataFrame, evidence: Evidence) -> tuple[Places, pd.Series]:
    """Which swap brought the engine that an anode sits in (-1: none), and when it was."""
    swaps = evidence["engine_swaps"]
    swap = place_before(looks, swaps, ["hull_no"], "read_at", "swapped_at")
    swap = np.where(looks["circuit"] == "engine", swap, -1).astype(np.int64)
    return swap, _at(swaps["swapped_at"], swap, looks)


def _of_this_engine(place: Places, fittings: pd.DataFrame, began: pd.Series) -> Places:
    """Forget a fitting that went into the engine before; the same visit may be written early."""
    if began.isna().all():
        return place
    fitted = values_at(fittings["fitted_at"], place)
    fitted.index = began.index
    return np.where(fitted < began - LATE_REMOVAL, -1, place).astype(np.int64)


def _anode_number(readings: pd.DataFrame, fitting: Places, engine: Places) -> Places:
    removed = is_true(readings["removed"]).astype("int64")
    place = readings["spot_no"]
    removals = removed.groupby(place).cumsum() - removed
    keys = pd.DataFrame(
        {"place": place, "fitting": fitting, "removals": removals, "engine": engine}
    )
    return np.asarray(keys.groupby(list(keys.columns), sort=False).ngroup(), dtype=np.int64)


def _could_be_true(looks: pd.DataFrame) -> Flags:
    size = looks["size_mm"]
    low = 0.3 * looks["limit_size_mm"]
    return (size > low) & (size < 1.1 * looks["new_size_mm"] + 0.6)


def _neighbours(anode: Places, counted: npt.NDArray[np.bool_]) -> tuple[Places, Places]:
    """Rows of the counted looks before and after at the same anode, -1 where there is none."""
    rows = np.arange(len(anode))
    last = np.maximum.accumulate(np.where(counted, rows, -1)) if len(rows) else rows
    following = np.where(counted, rows, len(rows))[::-1]
    first = np.minimum.accumulate(following)[::-1] if len(rows) else rows
    before = np.concatenate([[-1], last[:-1]]) if len(rows) else rows
    after = np.concatenate([first[1:], [-1]]) if len(rows) else rows
    after = np.where(after == len(rows), -1, after)
    return _same_anode(anode, before), _same_anode(anode, after)


def _again(before: Places) -> Places:
    """Return the look before the look before."""
    return np.where(before >= 0, before[before], -1) if len(before) else before


def _same_anode(anode: Places, place: Places) -> Places:
    if not len(place):
        return place.astype(np.int64)
    return np.where((place >= 0) & (anode[place] == anode), place, -1).astype(np.int64)


def _at(column: pd.Series, places: Places, beside: pd.DataFrame) -> pd.Series:
    """Values of `column` at `places`, indexed as the rows of `beside`."""
    taken = values_at(column, places)
    taken.index = beside.index
    return taken


def _usual_rate(looks: pd.DataFrame, counted: Flags) -> pd.Series:
    """Median wear per unit of use: of the position in that water, else of the position, mm."""
    drop_mm = (looks["before_mm"] - looks["size_mm"]).where(counted)
    use = looks["use_since"].where(counted & (looks["use_since"] > 0))
    # short stretches are all reading error
    long_enough = use >= use.groupby(looks["place"]).transform("median")
    rate = (drop_mm / use).where(long_enough)
    narrow, wide = rate.groupby(looks["place_water"]), rate.groupby(looks["place"])
    own = narrow.transform("median").where(narrow.transform("count") >= 5)
    return own.fillna(wide.transform("median")).clip(lower=0.0)


def _reading_noise(looks: pd.DataFrame, counted: Flags) -> pd.Series:
    """Reading error from how far a look lies from the line between its neighbours, mm.

    Median absolute deviation, so that mistakes do not widen what is allowed; per position where
    it has enough looks, else over all positions, else what is usual.
    """
    between = counted & looks["after_mm"].notna()
    share = _share_between(looks)
    line = looks["before_mm"] + share * (looks["after_mm"] - looks["before_mm"])
    spread = (1 + share**2 + (1 - share) ** 2) ** 0.5
    off = (MAD_TO_SD * (looks["size_mm"] - line).abs() / spread).where(between)
    groups = off.groupby(looks["place"])
    own = groups.transform("median").where(groups.transform("count") >= ENOUGH_TRIPLES)
    fleet = float(off.median()) if between.sum() >= ENOUGH_TRIPLES else USUAL_NOISE_MM
    return own.fillna(fleet).clip(LEAST_NOISE_MM, MOST_NOISE_MM)


def _share_between(looks: pd.DataFrame) -> pd.Series:
    """How far along the use between its neighbours a look lies, 0 to 1; by time without use."""
    whole_use = looks["use_since"] + looks["use_until"]
    since_h = hours_between(looks["read_at"], looks["before_at"])
    whole_h = hours_between(looks["after_at"], looks["before_at"])
    by_use = looks["use_since"] / whole_use.where(whole_use > 0)
    by_time = since_h / whole_h.where(whole_h > 0)
    return by_use.fillna(by_time).fillna(0.5).clip(0.0, 1.0)


def _expected(looks: pd.DataFrame) -> pd.Series:
    """Size that the neighbours alone let expect, mm; unknown without any."""
    line = looks["before_mm"] + _share_between(looks) * (looks["after_mm"] - looks["before_mm"])
    onward = looks["before_mm"] - wear_since(looks)
    back = looks["after_mm"] + wear_until(looks)
    return line.fillna(onward).fillna(back)
