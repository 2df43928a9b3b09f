"""Said against happened."""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import opened

COUNT_ROWS: Final = 3
"""Bands of small chances lie close: their counts stand under them, on so many lines by turns."""


def said_and_found(reliability: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw what was found against what was said, band by band, with counts and intervals.

    Parameters
    ----------
    reliability : DataFrame
        One row a band: `said` (mean chance), `found` (share), `low`, `high` (95 %), `looks`,
        `worn` (counts).
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 420)
    figure.add_scatter(
        x=[0, 1], y=[0, 1], mode="lines", hoverinfo="skip",
        line={"color": palette.quiet, "dash": "dash", "width": 1},
    )  # fmt: skip
    expected, came = reliability["said"], reliability["found"]
    text = [f"{int(w)} of {n}" for w, n in zip(reliability["worn"], reliability["looks"],
                                              strict=True)]  # fmt: skip
    figure.add_scatter(
        x=expected, y=came, mode="markers", customdata=text,
        marker={"color": palette.blue, "size": 10, "symbol": "circle"}, cliponaxis=False,
        error_y={
            "array": reliability["high"] - came, "arrayminus": came - reliability["low"],
            "color": palette.blue, "thickness": 1.5, "width": 4,
        },
        hovertemplate="said %{x:.0%}, found %{y:.0%} (%{customdata} looks)<extra></extra>",
    )  # fmt: skip
    below = -0.07 - 0.055 * (np.arange(len(text)) % COUNT_ROWS)
    figure.add_scatter(
        x=expected, y=below, mode="text", text=text, textposition="middle center",
        hoverinfo="skip", cliponaxis=False, textfont={"size": 13},
    )  # fmt: skip
    # in the widest gap between two bands no interval runs through the words
    edges = np.sort(np.concatenate([expected, [1.0]]))
    widest = int(np.argmax(np.diff(edges))) if len(edges) > 1 else 0
    end = float(edges[widest : widest + 2][-1]) - 0.02
    figure.add_annotation(
        x=end, y=end, text="as said", showarrow=False, xanchor="right", yanchor="bottom",
        font={"color": palette.quiet},
    )  # fmt: skip
    share = {"tickformat": ".0%", "range": [-0.05, 1.05], "tickvals": [0, 0.2, 0.4, 0.6, 0.8, 1]}
    figure.update_xaxes(title_text="chance that was said", **share)
    figure.update_yaxes(title_text="share found worn", **{**share, "range": [-0.22, 1.05]})
    return figure
