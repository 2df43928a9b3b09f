"""The yard's pictures: parts that the coming weeks take, what work cost, what a rule would cost."""

from __future__ import annotations

from typing import Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import LEGEND_ABOVE, Palette, opened

ROW_PX: Final = 46
PATTERNS: Final = ("", "/", ".", "x")


def parts_needed(table: pd.DataFrame, weeks: int, *, dark: bool = False) -> go.Figure:
    """Draw how many of each part the coming weeks take, with its range, beside what is there.

    Parameters
    ----------
    table : DataFrame
        One row a part: `part_number`, `need_<weeks>_low`, `need_<weeks>`, `need_<weeks>_high`,
        `on_hand` (unknown: not counted). Drawn in the order of the rows, the first on top.
    weeks : int
        How many weeks ahead.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = _opened(len(table), dark)
    low, likely, high = (table[f"need_{weeks}{end}"] for end in ("_low", "", "_high"))
    figure.add_traces(
        [
            _ranges(table["part_number"], low, likely, high, "takes", palette),
            go.Scatter(
                x=table["on_hand"],
                y=table["part_number"],
                mode="markers",
                name="on hand",
                marker={
                    "symbol": "line-ns",
                    "size": 22,
                    "line": {"width": 4, "color": palette.vermilion},
                },
                hovertemplate="%{y}: %{x} on hand<extra></extra>",
            ),
        ]
    )
    return _laid_out(figure, f"pieces, {weeks} weeks ahead")


def costs_by_mooring(table: pd.DataFrame, currency: str, *, dark: bool = False) -> go.Figure:
    """Draw what a hull-season of anode work cost at each mooring, by what it went on.

    Parameters
    ----------
    table : DataFrame
        One row a mooring: `mooring`, `hull_seasons`, and the amounts `parts`, `labour`, `looking`,
        `lost_hire` (unknown: left out). Drawn in the order of the rows, the first on top.
    currency : str
        As it is written.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = _opened(len(table), dark)
    colours = (palette.blue, palette.vermilion, palette.plum, palette.quiet)
    kinds = {"parts": "parts", "labour": "changing", "looking": "looking", "lost_hire": "lost hire"}
    # each kind keeps its mark, whichever of them cost anything
    for (column, name), colour, pattern in zip(kinds.items(), colours, PATTERNS, strict=True):
        if not table[column].gt(0).any():
            continue
        figure.add_bar(
            x=table[column] / table["hull_seasons"],
            y=table["mooring"],
            orientation="h",
            name=name,
            marker={
                "color": colour,
                "pattern": {
                    "shape": pattern,
                    "fillmode": "overlay",
                    "fgcolor": palette.text,
                    "fgopacity": 0.55,
                    "size": 9,
                },
            },
            hovertemplate="%{y}, " + name + ": %{x:,.0f} " + currency + "<extra></extra>",
        )
    figure.update_layout(barmode="stack")
    return _laid_out(figure, f"{currency or 'amount'} a hull and season")


def costs_by_rule(table: pd.DataFrame, currency: str, *, dark: bool = False) -> go.Figure:
    """Draw what each rule would cost over the coming weeks, with its range.

    Parameters
    ----------
    table : DataFrame
        One row a rule: `rule`, `cost_low`, `cost_likely`, `cost_high`; the first on top.
    currency : str
        As it is written.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = _opened(len(table), dark)
    ranges = _ranges(
        table["rule"], table["cost_low"], table["cost_likely"], table["cost_high"], "costs", palette
    )
    title = f"{currency or 'amount'}: parts, work and lateness"
    figure.add_trace(ranges)
    return _laid_out(figure, title).update_layout(showlegend=False)


def _ranges(
    names: pd.Series,
    low: pd.Series,
    likely: pd.Series,
    high: pd.Series,
    name: str,
    palette: Palette,
) -> go.Scatter:
    """Mark the middle with a dot and 8 of 10 outcomes with a bar."""
    ends = np.column_stack([low, high])
    return go.Scatter(
        x=likely,
        y=names,
        mode="markers",
        name=name,
        marker={"size": 12, "color": palette.blue},
        error_x={
            "type": "data",
            "symmetric": False,
            "array": high - likely,
            "arrayminus": likely - low,
            "color": palette.blue,
            "thickness": 5,
            "width": 0,
        },
        customdata=ends,
        hovertemplate="%{y}: %{customdata[0]:,.0f} to %{customdata[1]:,.0f}, most likely "
        "%{x:,.0f}<extra></extra>",
    )


def _opened(rows: int, dark: bool) -> tuple[Palette, go.Figure]:
    legend = {**LEGEND_ABOVE, "traceorder": "normal"}
    return opened(dark, 110 + ROW_PX * rows, showlegend=True, legend=legend, bargap=0.35)


def _laid_out(figure: go.Figure, title: str) -> go.Figure:
    figure.update_yaxes(
        autorange="reversed", type="category", showgrid=False, ticks="", ticklabelstandoff=6
    )
    figure.update_xaxes(rangemode="tozero", title_text=title, nticks=6)
    return figure
