"""The band of chances that came true least as it was said, for the headline."""

from __future__ import annotations

import pandas as pd

from corrosion.common import formatting


def sentence(bands: pd.DataFrame) -> str:
    """Name the band of chances that came true least as it was said, where chance does not do it."""
    off = bands[(bands["said"] < bands["low"]) | (bands["said"] > bands["high"])]
    if off.empty:
        return " No band of chances came true surely otherwise than it was said."
    band = off.loc[(off["said"] - off["found"]).abs().idxmax()]
    return (
        f" The worst band: \u201c{formatting.chance(band['said'])}\u201d came true in "
        f"{int(band['worn'])} of {formatting.count(int(band['looks']), 'look')}, "
        f"{formatting.number(100 * float(band['found']))} % of the forecasts that met them."
    )
