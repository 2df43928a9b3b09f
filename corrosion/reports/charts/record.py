"""Said against happened."""

from __future__ import annotations

import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import opened


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
        x=expected, y=came, mode="markers+text", text=text, textposition="middle right",
        marker={"color": palette.blue, "size": 10, "symbol": "circle"}, cliponaxis=False,
        error_y={
            "array": reliability["high"] - came, "arrayminus": came - reliability["low"],
            "color": palette.blue, "thickness": 1.5, "width": 4,
        },
        hovertemplate="said %{x:.0%}, found %{y:.0%} (%{text} looks)<extra></extra>",
    )  # fmt: skip
    figure.add_annotation(
        x=0.5, y=0.5, text="as said", showarrow=False, xanchor="right", yanchor="bottom",
        font={"color": palette.quiet},
    )  # fmt: skip
    share = {"tickformat": ".0%", "range": [-0.03, 1.08], "nticks": 6}
    figure.update_xaxes(title_text="chance that was said", **share)
    figure.update_yaxes(title_text="share found worn", **{**share, "range": [-0.03, 1.05]})
    return figure
