"""The fleet ahead: hulls by weeks."""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.common import formatting
from corrosion.reports.charts.look import ink, opened

ROW_PX: Final = 34
SAY_FROM: Final = 0.02
"""Chances below 1 in 50 are left blank in the picture, which says so under it."""
SURE: Final = {"over 99 in 100": "over 99<br>in 100"}
"""The words of every list, on two lines: a cell of a phone's picture has no room for one."""


def fleet_ahead(ahead: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw hulls by weeks ahead with the chance of a worn anode in each cell.

    Parameters
    ----------
    ahead : DataFrame
        One row per hull and week: `hull_id`, `week` (the week's last day as text), `chance`
        (0 to 1, by the end of that week), `hires` (how many start in it). Hulls and weeks are
        drawn in the order of the rows, the first on top.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    hulls, weeks = list(ahead["hull_id"].unique()), list(ahead["week"].unique())
    palette, figure = opened(dark, 70 + ROW_PX * len(hulls))
    chance = ahead["chance"].to_numpy(dtype=float)
    in_words = np.array([formatting.chance(share) for share in chance], dtype=object)
    cells = go.Heatmap(
        z=chance.reshape(len(hulls), len(weeks)),
        x=weeks,
        y=hulls,
        colorscale=[list(stop) for stop in palette.heat],
        zmin=0.0,
        zmax=1.0,
        showscale=False,
        xgap=2,
        ygap=2,
        hoverinfo="skip",
    )
    odds = go.Scatter(
        x=ahead["week"],
        y=ahead["hull_id"],
        mode="text",
        text=np.where(chance < SAY_FROM, "", [SURE.get(odds, odds) for odds in in_words]),
        textfont={"color": [ink(share, palette) for share in chance], "size": 13},
        customdata=np.column_stack([in_words, ahead["hires"]]),
        hovertemplate="%{y}, by %{x}: %{customdata[0]}; hires starting that week: "
        "%{customdata[1]}<extra></extra>",
    )
    figure.add_traces([cells, odds])
    figure.update_yaxes(
        autorange="reversed", type="category", showgrid=False, ticks="", ticklabelstandoff=6
    )
    figure.update_xaxes(side="top", type="category", showgrid=False, ticks="")
    return figure
