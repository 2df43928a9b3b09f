"""Potentials of hulls on one scale, with what each alloy shows of its own."""

from __future__ import annotations

import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import opened


def potentials(
    last: pd.DataFrame, alloys: pd.DataFrame, protected_mv: float, *, dark: bool = False
) -> go.Figure:
    """Draw each anode's newest potential on a scale in mV.

    Parameters
    ----------
    last : DataFrame
        `hull_id`, `position`, `potential_mv` (against silver/silver chloride).
    alloys : DataFrame
        `alloy` and `potential_v`, the alloy's own potential.
    protected_mv : float
        At or below this, steel counts as protected.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    height = 140 + 22 * last["hull_id"].nunique()
    palette, figure = opened(dark, height, margin={"l": 8, "r": 8, "t": 72, "b": 8})
    bare = last["potential_mv"] > protected_mv
    figure.add_traces(
        [
            _anodes(last[~bare], "protected", palette.blue, "diamond", 9),
            _anodes(last[bare], "not protected", palette.vermilion, "triangle-up", 13),
        ]
    )
    marks = [*zip(alloys["alloy"], 1000 * alloys["potential_v"], strict=True)]
    for turn, (name, at) in enumerate(marks):
        figure.add_vline(x=at, line={"color": palette.quiet, "dash": "dash", "width": 1})
        figure.add_annotation(
            x=at, y=1.0, yref="paper", yshift=16 * (turn % 2), text=name, showarrow=False,
            yanchor="bottom", font={"color": palette.quiet, "size": 12},
        )  # fmt: skip
    figure.add_vline(x=protected_mv, line={"color": palette.text, "dash": "dash", "width": 1.5})
    for text, side, colour in (
        ("◂ protected ", "right", palette.quiet),
        (" not ▸", "left", palette.vermilion),
    ):
        figure.add_annotation(
            x=protected_mv, y=1.0, yref="paper", yshift=32, text=text, showarrow=False,
            xanchor=side, yanchor="bottom", font={"color": colour, "size": 13},
        )  # fmt: skip
    figure.update_xaxes(title_text="mV against silver/silver chloride", nticks=6)
    hulls = list(last["hull_id"].unique())
    figure.update_yaxes(
        type="category", autorange="reversed", categoryorder="array", categoryarray=hulls
    )
    return figure


def _anodes(part: pd.DataFrame, name: str, colour: str, symbol: str, size: int) -> go.Scatter:
    """Draw the anodes on one side of the limit."""
    return go.Scatter(
        x=part["potential_mv"], y=part["hull_id"], name=name, customdata=part[["position"]],
        mode="markers", cliponaxis=False,
        marker={"color": colour, "size": size, "symbol": symbol},
        hovertemplate="%{y} %{customdata[0]}: %{x:.0f} mV<extra></extra>",
    )  # fmt: skip
