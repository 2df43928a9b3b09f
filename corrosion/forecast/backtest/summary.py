"""The track record in one line."""

from __future__ import annotations

import pandas as pd

from corrosion.common import formatting

ABOUT_ONE_IN_TEN = (0.05, 0.15)


def in_one_line(reliability: pd.DataFrame) -> str:
    """Say how often anodes given about 1 in 10 were found worn at their next look.

    Parameters
    ----------
    reliability : DataFrame
        As `corrosion.forecast.backtest.scores.reliability` gives it.

    Returns
    -------
    str
        Such as ``of 20 anodes given about 1 in 10 to be worn at their next look, 3 were``;
        another band where that one is empty; empty without any look.
    """
    if reliability.empty:
        return ""
    low, high = ABOUT_ONE_IN_TEN
    near = reliability[(reliability["from_chance"] == low) & (reliability["to_chance"] == high)]
    middle = reliability[reliability["from_chance"].between(0.02, 0.9)]
    band = near if len(near) else (middle if len(middle) else reliability).nlargest(1, "looks")
    row = band.iloc[0]
    chance = "1 in 10" if len(near) else formatting.chance(float(row["said"]))
    worn, looks = int(row["worn"]), int(row["looks"])
    were = "1 was" if worn == 1 else f"{worn or 'none'} were"
    return (
        f"of {formatting.count(looks, 'anode')} given about {chance} to be worn at their next "
        f"look, {were}"
    )
