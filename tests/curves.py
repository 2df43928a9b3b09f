"""Life curves read at one exposure."""

import pandas as pd


def sound_at(curve: pd.DataFrame, exposure: float) -> pd.Series:
    """Share of lives not yet worn at one exposure, by group, from a table of `life_curve`."""
    reached = curve[curve["exposure"] <= exposure]
    return reached.groupby("group")["sound"].last()
