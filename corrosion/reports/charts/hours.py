"""A hull's hours, clock by clock."""

from __future__ import annotations

import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import opened


def clock_hours(hours: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw a hull's hours week by week, one panel for each clock.

    Parameters
    ----------
    hours : DataFrame
        One row per week and clock: `week` (its first day, local), `clock` (text), `hours`. A
        clock that did not run at all gets no panel.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    clocks = list(hours.loc[hours["hours"] > 0.0, "clock"].unique())
    palette, figure = opened(dark, 120 + 110 * len(clocks), bargap=0.25)
    figure.set_subplots(rows=max(len(clocks), 1), cols=1, shared_xaxes=True, vertical_spacing=0.16)
    for row, clock in enumerate(clocks, start=1):
        part = hours[hours["clock"] == clock]
        figure.add_bar(
            x=part["week"],
            y=part["hours"],
            marker={"color": palette.blue},
            hovertemplate="week of %{x|%-d %b}: %{y:.0f} h<extra></extra>",
            row=row,
            col=1,
        )
        figure.add_annotation(
            text=f"<b>{clock}</b>, h a week",
            xref="x domain",
            yref="y domain",
            x=0,
            y=1.02,
            xanchor="left",
            yanchor="bottom",
            showarrow=False,
            row=row,
            col=1,
        )
    figure.update_yaxes(rangemode="tozero", nticks=4)
    figure.update_xaxes(tickformat="%-d %b")
    return figure
