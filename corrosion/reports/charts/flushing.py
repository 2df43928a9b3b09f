"""Flushing and habits: shares saved with their intervals, wear by state, delay, policies."""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import Palette, opened

ROW_PX: Final = 56
ROOMY: Final = 0.7
"""So far to the right a phone has room for a word beside a mark; further on it stands before it."""


def shares_saved(table: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw shares saved, each with its 95 % interval, and the raw comparison beside it.

    Parameters
    ----------
    table : DataFrame
        One row a group: `label`, `share`, `low`, `high`, `raw` (all 0 to 1, NaN where not known);
        the first row is drawn on top.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 70 + ROW_PX * len(table), margin={"l": 16})
    heights = np.arange(len(table), dtype=float)
    _dots(figure, table, heights - 0.1, palette)
    ends = table[["low", "high", "raw"]].to_numpy(float)
    low, high = min(np.nanmin(ends), 0.0), max(np.nanmax(ends), 0.05)
    right = low + ROOMY * (high - low)
    first_low, first_high = table["low"].iloc[0], table["high"].iloc[0]
    inside = first_high > right
    figure.add_annotation(
        text="adjusted", x=first_low if inside else first_high, y=-0.1, showarrow=False,
        xanchor="right" if inside else "left", xshift=-8 if inside else 8,
        font={"color": palette.blue, "size": 13},
    )  # fmt: skip
    raw = table["raw"].to_numpy(float)
    first = int(np.flatnonzero(np.isfinite(raw))[0]) if np.isfinite(raw).any() else -1
    figure.add_scatter(
        x=raw,
        y=heights + 0.22,
        mode="markers+text",
        text=["\u2002raw\u2002" if row == first else "" for row in range(len(table))],
        textposition=["middle left" if x > right else "middle right" for x in raw],
        textfont={"color": palette.quiet, "size": 13},
        cliponaxis=False,
        marker={"symbol": "diamond-open", "size": 10, "color": palette.quiet, "line": {"width": 2}},
        customdata=table[["label"]],
        hovertemplate="%{customdata[0]}, raw: %{x:.0%}<extra></extra>",
    )
    figure.add_vline(x=0, line={"color": palette.quiet, "width": 1, "dash": "dot"})
    _by_label(figure, table, palette)
    room = 0.04 * (high - low)
    # names stand at the left edge: where nothing is below zero, zero is that edge, and crosses none
    figure.update_xaxes(
        tickformat=".0%",
        title_text="share of the wear saved",
        ticklabeloverflow="allow",
        range=[low - room if low < 0 else 0.0, high + room],
    )
    return figure


def wear_by_state(table: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw what each operating state wore off in a season, sorted, each with its interval.

    Parameters
    ----------
    table : DataFrame
        One row a state: `label`, `share`, `low`, `high` (anodes a season); the first row on top.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 70 + ROW_PX * len(table))
    heights = np.arange(len(table), dtype=float)
    figure.add_bar(
        x=table["share"],
        y=heights,
        orientation="h",
        width=0.5,
        marker={"color": palette.blue, "opacity": 0.45},
        hoverinfo="skip",
    )
    _dots(figure, table, heights, palette, unit=" anodes", form=".1f")
    _by_label(figure, table, palette)
    figure.update_xaxes(title_text="anodes worn off in a season, whole fleet", rangemode="tozero")
    return figure


def by_delay(table: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw the share saved against the delay from the return to its flush.

    Parameters
    ----------
    table : DataFrame
        One row a delay: `within_h` (h), `share_saved`, `low`, `high`.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 300)
    hours = table["within_h"].to_numpy(float)
    figure.add_scatter(
        x=np.concatenate([hours, hours[::-1]]),
        y=np.concatenate([table["high"], table["low"][::-1]]),
        mode="lines",
        fill="toself",
        fillcolor=palette.band,
        line={"width": 0},
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=hours,
        y=table["share_saved"],
        mode="lines+markers",
        line={"color": palette.blue, "width": 2.5},
        hovertemplate="within %{x:g} h: %{y:.0%}<extra></extra>",
    )
    figure.update_xaxes(title_text="hours from the return to the flush", rangemode="tozero")
    figure.update_yaxes(title_text="share saved", tickformat=".0%", rangemode="tozero")
    return figure


def cost_of_policies(table: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw policies by the hours of work that they take and the anodes that they spare.

    Parameters
    ----------
    table : DataFrame
        One row a policy: `letter` (short name in the picture), `policy`, `hours` (h a season),
        `anodes`, `anodes_low`, `anodes_high` (a season).
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 340)
    figure.add_trace(
        go.Scatter(
            x=table["hours"],
            y=table["anodes"],
            mode="markers+text",
            text=[f"<b>{letter}</b>" for letter in table["letter"]],
            # two policies may lie on each other: their letters do not
            textposition=(["top right", "bottom left"] * len(table))[: len(table)],
            cliponaxis=False,
            marker={"size": 10, "color": palette.blue},
            error_y={
                "type": "data",
                "array": table["anodes_high"] - table["anodes"],
                "arrayminus": table["anodes"] - table["anodes_low"],
                "color": palette.blue,
                "width": 0,
                "thickness": 2.5,
            },
            customdata=table[["policy"]],
            hovertemplate="%{customdata[0]}: %{x:.0f} h, %{y:.1f} anodes<extra></extra>",
        )
    )
    figure.update_xaxes(title_text="hours of flushing added in a year", rangemode="tozero")
    figure.update_yaxes(title_text="anodes spared in a year", rangemode="tozero")
    return figure


def _dots(
    figure: go.Figure,
    table: pd.DataFrame,
    heights: np.ndarray,
    palette: Palette,
    unit: str = "",
    form: str = ".0%",
) -> None:
    middle, low, high = (table[name].to_numpy(float) for name in ("share", "low", "high"))
    figure.add_scatter(
        x=middle,
        y=heights,
        mode="markers",
        cliponaxis=False,
        marker={"size": 11, "color": palette.blue},
        error_x={
            "type": "data",
            "array": high - middle,
            "arrayminus": middle - low,
            "thickness": 3.5,
            "width": 0,
            "color": palette.blue,
        },
        customdata=np.column_stack([table["label"], low, high]),
        hovertemplate=f"%{{customdata[0]}}: %{{x:{form}}}{unit}, %{{customdata[1]:{form}}} to "
        f"%{{customdata[2]:{form}}}<extra></extra>",
    )


def _by_label(figure: go.Figure, table: pd.DataFrame, palette: Palette) -> None:
    """Write each row's name over its mark, so that a phone keeps its width for the picture."""
    for height, label in enumerate(table["label"]):
        figure.add_annotation(
            text=label,
            xref="paper",
            x=0,
            y=height - 0.42,
            xanchor="left",
            yanchor="middle",
            showarrow=False,
            font={"size": 13, "color": palette.text},
        )
    figure.update_yaxes(
        range=[len(table) - 0.4, -0.75], showticklabels=False, showgrid=False, ticks=""
    )
