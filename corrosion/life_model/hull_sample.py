"""Which hulls speak first for what the whole fleet shares, where there are thousands.

What a fleet shares (rates, places, spreads) is some twenty numbers, and a few hundred hulls tell
them almost as well as all. The long climb to them is made on a sample; from where it ends, all
hulls take the last steps together (`fitting`), so that no interval is wider or narrower for it and
every hull's own pace comes from all its looks.

What all share rests for a day: looks that were taken or written down on the day of the report speak
for their own anodes and hulls, and from the next midnight on for the others too. In a fleet of
thousands one look moves what is shared by a hundredth of a standard error, and what it moves by no
more need not be worked out anew for every hull while entries are made.

The sample is drawn by a rule that anybody can follow: hulls in groups of like layout, mooring and
berth, in each group those first whose names have the least BLAKE2b digest. It does not depend on
the order of rows, and one hull or one look more leaves the rest of it as it was.
"""

from __future__ import annotations

from hashlib import blake2b

import numpy as np
import pandas as pd

from corrosion.exposure import Exposure, Lives

LARGE_HULLS = 1_000
"""Hulls with looks from which on a sample climbs first; below, all climb all the way."""
SAMPLE_HULLS = 500
LEAST_OF_A_KIND = 12
"""Hulls that the sample holds of each group, and of each kind of anode, where there are so many."""
MOST_RESTING = 0.02
"""Share of all looks that may wait for the next midnight; where it is more, all speak at once."""
KIND = ["layout", "position", "circuit", "alloy", "alloy_listed", "allowance_mm"]


def hulls_that_speak_first(lives: Lives, exposure: Exposure) -> pd.Index | None:
    """Draw the sample.

    Parameters
    ----------
    lives : Lives
    exposure : Exposure

    Returns
    -------
    Index of hull ids, or None where the fleet is small enough to climb as a whole
    """
    table = lives.lives
    looked = table["hull_id"].isin(_looked_at(lives))
    hulls = table.loc[looked].drop_duplicates("hull_id")[["hull_id", "layout"]]
    if len(hulls) < LARGE_HULLS:
        return None
    hulls = hulls.assign(turn=[_digest(name) for name in hulls["hull_id"]])
    berths = exposure.berths.drop_duplicates("hull", keep="last").set_index("hull")
    code = exposure.hull_ids.get_indexer(pd.Index(hulls["hull_id"]))
    lying = berths[["mooring", "afloat"]].reindex(code).set_axis(hulls.index)
    hulls = hulls.join(lying).sort_values("turn", kind="stable")
    group = hulls.groupby(["layout", "mooring", "afloat"], dropna=False)
    share = SAMPLE_HULLS / len(hulls) * group["hull_id"].transform("size")
    drawn = group.cumcount() < np.maximum(np.ceil(share), LEAST_OF_A_KIND)
    named = {*hulls.loc[drawn, "hull_id"], *_of_every_kind(table, hulls["hull_id"])}
    names: pd.Index = pd.Index(sorted(named), dtype=object)
    return names


def looks_that_speak(lives: Lives, until_h: float | None) -> np.ndarray | None:
    """Tell which looks speak for what the fleet shares.

    Parameters
    ----------
    lives : Lives of n looks
    until_h : float or None
        Hours since 1970; what was taken or written down later rests. None: nothing rests.

    Returns
    -------
    ndarray of bool, shape (n,), or None where nothing may rest: in a small fleet, or where too
    much would
    """
    if until_h is None or _looked_at(lives).nunique() < LARGE_HULLS:
        return None
    speak = _known_by(lives, until_h)
    resting = speak.size - int(speak.sum())
    return speak if resting <= MOST_RESTING * speak.size else None


def _looked_at(lives: Lives) -> pd.Series:
    """Return the hull of each life that was looked at."""
    return lives.lives["hull_id"].take(lives.looks["life"].unique())


def lives_until(lives: Lives, until_h: float) -> Lives:
    """Return the lives and looks known by a moment, hours since 1970, as they are known now."""
    seen = _known_by(lives, until_h)
    begun = lives.lives["known_h"].to_numpy(float) <= until_h
    begun[lives.looks["life"].to_numpy(np.intp)[seen]] = True  # since told to have begun before
    return _cut(lives, begun, seen)


def _known_by(lives: Lives, until_h: float) -> np.ndarray:
    return lives.looks["known_h"].to_numpy(float) <= until_h


def _digest(name: object) -> bytes:
    return blake2b(str(name).encode(), digest_size=8).digest()


def _of_every_kind(lives: pd.DataFrame, in_turn: pd.Series) -> list[str]:
    """Return the first hulls in turn that had each kind of anode, rare kinds too."""
    turn = pd.Series(np.arange(len(in_turn)), index=in_turn.to_numpy(object))
    pairs = lives[["hull_id", *KIND]].drop_duplicates()
    pairs = pairs.assign(turn=pairs["hull_id"].map(turn)).sort_values("turn", kind="stable")
    first = pairs.groupby(KIND, dropna=False).cumcount() < LEAST_OF_A_KIND
    return [str(name) for name in pairs.loc[first & pairs["turn"].notna(), "hull_id"]]


def lives_of(lives: Lives, hulls: pd.Index) -> Lives:
    """Return the lives of some hulls, numbered anew, and the looks at them."""
    own = lives.lives["hull_id"].isin(hulls).to_numpy(bool)
    return _cut(lives, own, np.ones(len(lives.looks), dtype=bool))


def _cut(lives: Lives, own: np.ndarray, seen: np.ndarray) -> Lives:
    """Return some lives, numbered anew, and those looks at them that were seen."""
    number = np.cumsum(own) - 1
    looks = lives.looks[seen & own[lives.looks["life"].to_numpy(np.intp)]]
    table = lives.lives[own].reset_index(drop=True)
    table.index.name = lives.lives.index.name
    return Lives(
        table,
        looks.assign(life=number[looks["life"].to_numpy(np.intp)]).reset_index(drop=True),
    )
