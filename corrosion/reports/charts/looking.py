"""The price of looking: what a year of looking, replacing and being late costs, by interval."""

from __future__ import annotations

import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import LEGEND_ABOVE, opened


def price_of_looking(
    curve: pd.DataFrame, place: pd.Series, currency: str, *, dark: bool = False
) -> go.Figure:
    """Draw the yearly cost of one position at one mooring against the days between two looks.

    Parameters
    ----------
    curve : DataFrame
        One row an interval: `interval_days`, `cost`, `low`, `high`, `late` (currency a year and
        anode).
    place : Series
        `habit_days`, `habit_cost` (unknown: nobody looked), `schedule_cost`.
    currency : str
        As the fleet writes it; may be empty.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 360, showlegend=True, legend=LEGEND_ABOVE)
    days = curve["interval_days"]
    hover = "every %{x:.0f} days: %{y:.0f} a year<extra></extra>"
    figure.add_traces(
        [
            go.Scatter(
                x=[*days, *days[::-1]], y=[*curve["high"], *curve["low"][::-1]], fill="toself",
                fillcolor=palette.band, line={"width": 0}, hoverinfo="skip", name="8 of 10 lives",
            ),
            go.Scatter(
                x=days, y=curve["cost"], mode="lines+markers", name="looks, changes, lateness",
                line={"color": palette.blue, "width": 3}, hovertemplate=hover,
            ),
            go.Scatter(
                x=days, y=curve["late"], mode="lines", name="of it lateness",
                line={"color": palette.quiet, "width": 2, "dash": "dot"}, hovertemplate=hover,
            ),
            go.Scatter(
                x=[days.min(), days.max()], y=[place["schedule_cost"]] * 2, mode="lines",
                name="the schedule", hoverinfo="skip",
                line={"color": palette.vermilion, "width": 2, "dash": "dash"},
            ),
        ]
    )  # fmt: skip
    if pd.notna(place["habit_days"]):
        figure.add_trace(
            go.Scatter(
                x=[place["habit_days"]], y=[place["habit_cost"]], mode="markers+text",
                text=["your habit"], textposition="top center", name="your habit",
                marker={"size": 14, "symbol": "diamond", "color": palette.text},
                hovertemplate=hover,
            )
        )  # fmt: skip
    ticks = [int(day) for day in days]
    figure.update_xaxes(type="log", title_text="days between two looks", tickvals=ticks,
                        ticktext=[str(day) for day in ticks])  # fmt: skip
    unit = f"{currency} " if currency else ""
    figure.update_yaxes(rangemode="tozero", title_text=f"{unit}a year and anode")
    return figure
