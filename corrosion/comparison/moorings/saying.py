"""Comparisons of moorings as a person would say them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from corrosion.common import formatting
from corrosion.comparison.moorings.comparison import Share
from corrosion.comparison.moorings.study import MooringStudy

SHARES = (
    (1 / 10, "a tenth"),
    (1 / 8, "an eighth"),
    (1 / 6, "a sixth"),
    (1 / 5, "a fifth"),
    (1 / 4, "a quarter"),
    (1 / 3, "a third"),
    (2 / 5, "two fifths"),
    (1 / 2, "half"),
    (3 / 5, "three fifths"),
    (2 / 3, "two thirds"),
    (3 / 4, "three quarters"),
    (4 / 5, "four fifths"),
    (9 / 10, "nine tenths"),
)


def share(value: float) -> str:
    """Say a share of 1 as an easy fraction: 0.31 is ``a third``.

    Parameters
    ----------
    value : float, above 0

    Returns
    -------
    str
        The nearest fraction to say; under a twelfth ``1 / 17``, above 0.95 ``all``.
    """
    if value < 1 / 12:
        return f"1 / {formatting.number(1 / value)}"
    if value > 0.95:
        return "all"
    return min(SHARES, key=lambda each: abs(each[0] - value))[1]


def lives_apart(study: MooringStudy, short: Any, long: Any, names: Mapping[str, str]) -> str:
    """Say how long an anode lasts at the hardest mooring and at the mildest, seen or carried on.

    Parameters
    ----------
    study : MooringStudy
    short, long : rows of `study.comparison.table`, the shortest life and the longest
    names : the moorings' names as they are to be shown

    Returns
    -------
    str
        One or two sentences, the first in bold without its full stop. A life longer than any anode
        was watched, where none was seen worn, is said as "more than" what was seen.
    """
    life = study.comparison.life_share(short.mooring_id, long.mooring_id)
    beyond = study.reach[study.reach["carried_on"]].set_index("mooring_id")
    near, far = names[short.mooring_id], names[long.mooring_id]
    seen_h = beyond["seen_h"].get(long.mooring_id, 0.0)
    if short.mooring_id not in beyond.index and seen_h > short.life_high_h:
        times = formatting.number(seen_h / short.life_h)
        return (
            f"**An engine anode at {far} lasts more than {times} times as long as at {near}:** "
            f"over {formatting.number(seen_h)} engine hours, in which none was seen worn out, "
            f"against {life_in_hours(short)}. {carried_on(study, long, far)}"
        )
    sentence = lasts(life, near, far)
    first, second = (long, short) if long_first(life) else (short, long)
    notes = [carried_on(study, row, names[row.mooring_id]) for row in (first, second)]
    hours = f"{life_in_hours(first)} against {life_in_hours(second)}."
    return " ".join(filter(None, [f"**{sentence[0].upper()}{sentence[1:]}:** {hours}", *notes]))


def life_in_hours(row: Any) -> str:
    """Say the life of a row of the comparison with its range: ``220 engine hours (200 to 250)``."""
    low, middle, high = (
        formatting.number(v) for v in (row.life_low_h, row.life_h, row.life_high_h)
    )
    return f"{middle} engine hours ({low} to {high})"


def carried_on(study: MooringStudy, row: Any, name: str) -> str:
    """Say how far a mooring's hours are carried on beyond what was seen; empty where they are not.

    Parameters
    ----------
    study : MooringStudy
    row : a row of `study.comparison.table`
    name : str, the mooring's as it is to be shown
    """
    own = study.reach[(study.reach["mooring_id"] == row.mooring_id) & study.reach["carried_on"]]
    if own.empty:
        return ""
    seen_h, anodes = float(own["seen_h"].iloc[0]), int(own["anodes"].iloc[0])
    times = f", {formatting.number(row.life_h / seen_h)} times as far" if seen_h > 0 else ""
    return (
        f"Carried on from the wear that looks show{times}, it is {life_in_hours(row)} at {name}, "
        f"where none of {formatting.count(anodes, 'engine anode')} was seen worn out."
    )


def lasts(life: Share, short: str, long: str) -> str:
    """Say how long an anode lasts at one mooring against another, with the range.

    Parameters
    ----------
    life : Share, life at `short` over life at `long`, 1 or less
    short, long : str, names of the two moorings as they are to be shown

    Returns
    -------
    str
        A sentence without its full stop.
    """
    if life.high >= 1.0:
        return (
            f"the logs cannot tell {short} from {long}: an anode at {short} may last as long as at "
            f"{long}, or {share(life.low)} as long"
        )
    if long_first(life):
        low, middle, high = (formatting.number(1 / v) for v in (life.high, life.middle, life.low))
        return (
            f"an anode at {long} lasts about {middle} times as long as at {short} "
            f"({low} to {high} times)"
        )
    low, usual, high = (share(each) for each in (life.low, life.middle, life.high))
    ends = "" if low == high else f" ({low} to {high})"
    return f"an anode at {short} lasts about {usual} as long as at {long}{ends}"


def long_first(life: Share) -> bool:
    """Tell whether the longer life is named first: small fractions are said the other way round."""
    return life.middle < 1 / 12 and life.high < 1.0
