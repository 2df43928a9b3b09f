"""Plotly figures from tables, in one template, light and dark.

Colours are told apart by colour-blind eyes (Okabe and Ito, 2008, "Color Universal Design") and
never stand alone: a dash, a marker or a word goes with each. Backgrounds are transparent, so
that a figure takes the page's, on paper too. Times are shown in the zone of the table given.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion import words

FONT: Final = "Source Sans, Source Sans 3, Segoe UI, Helvetica, Arial, sans-serif"
ROW_PX: Final = 34
SAY_FROM: Final = 0.02
"""Chances below 1 in 50 are left blank in the fleet picture, which says so under it."""
MM_PER_INCH: Final = words.MM_PER_INCH


@dataclass(frozen=True)
class Palette:
    """Colours of one theme; contrast with the page is at least 4.5:1 for text, 3:1 for marks."""

    text: str
    quiet: str
    grid: str
    blue: str
    vermilion: str
    sky: str
    band: str
    heat: tuple[tuple[float, str], ...]


LIGHT: Final = Palette(
    text="#1b2733",
    quiet="#52606d",
    grid="#dfe5ea",
    blue="#0072b2",
    vermilion="#b34700",
    sky="#3182bd",
    band="rgba(0,114,178,0.18)",
    heat=((0.0, "#f3f5f7"), (0.1, "#fbdcb4"), (0.4, "#e07b39"), (1.0, "#6b1a0d")),
)
DARK: Final = Palette(
    text="#eef2f6",
    quiet="#a9b6c3",
    grid="#33414e",
    blue="#56b4e9",
    vermilion="#ff9a57",
    sky="#8ecae6",
    band="rgba(86,180,233,0.24)",
    heat=((0.0, "#1d2833"), (0.1, "#5a3a22"), (0.4, "#c26a2a"), (1.0, "#ffd9a0")),
)


def template(palette: Palette) -> go.layout.Template:
    """Give the look that every figure shares: fonts, grid, no chrome, room for direct labels."""
    axis = {
        "gridcolor": palette.grid,
        "linecolor": palette.quiet,
        "zeroline": False,
        "ticks": "outside",
        "tickcolor": palette.grid,
        "fixedrange": True,
        "automargin": True,
        "title": {"font": {"size": 14, "color": palette.quiet}},
    }
    return go.layout.Template(
        layout={
            "font": {"family": FONT, "size": 14, "color": palette.text},
            "paper_bgcolor": "rgba(0,0,0,0)",
            "plot_bgcolor": "rgba(0,0,0,0)",
            "colorway": [palette.blue, palette.vermilion, palette.sky, palette.quiet],
            "margin": {"l": 8, "r": 8, "t": 28, "b": 8},
            "hoverlabel": {"font": {"family": FONT, "size": 14}},
            "showlegend": False,
            "xaxis": axis,
            "yaxis": axis,
        }
    )


def fleet_ahead(ahead: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw hulls by weeks ahead with the chance of a worn anode in each cell.

    Parameters
    ----------
    ahead : DataFrame
        One row per hull and week: `hull_id`, `week` (the week's last day as text), `chance`
        (0 to 1, by the end of that week), `booked` (hire starts in that week). Hulls and weeks
        are drawn in the order of the rows, the first on top.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette = DARK if dark else LIGHT
    hulls, weeks = list(ahead["hull_id"].unique()), list(ahead["week"].unique())
    shape = (len(hulls), len(weeks))
    chance = ahead["chance"].to_numpy(dtype=float).reshape(shape)
    said = np.array([words.chance(share) for share in chance.ravel()]).reshape(shape)
    booked = ahead["booked"].to_numpy(dtype=bool).reshape(shape)
    shown = np.where(chance < SAY_FROM, "", _short(said)) + np.where(booked, " ◦", "")
    figure = go.Figure(
        go.Heatmap(
            z=chance,
            x=weeks,
            y=hulls,
            text=shown,
            customdata=said,
            texttemplate="%{text}",
            hovertemplate="%{y}, by %{x}: %{customdata}<extra></extra>",
            colorscale=[list(stop) for stop in palette.heat],
            zmin=0.0,
            zmax=1.0,
            showscale=False,
            xgap=2,
            ygap=2,
        )
    )
    figure.update_layout(template=template(palette), height=70 + ROW_PX * len(hulls))
    figure.update_yaxes(autorange="reversed", type="category", showgrid=False, ticks="")
    figure.update_xaxes(side="top", type="category", showgrid=False, ticks="")
    return figure


def anode_course(
    readings: pd.DataFrame,
    course: pd.DataFrame,
    marks: pd.DataFrame,
    limit_mm: float,
    new_mm: float,
    *,
    length_unit: str = "mm",
    dark: bool = False,
) -> go.Figure:
    """Draw one anode: readings with their error, the way ahead with its 80 % band, the limit.

    Parameters
    ----------
    readings : DataFrame
        One row per look: `at` (local time), `low_mm`, `size_mm`, `high_mm` (80 %, mm; NaN where
        nothing was measured), `kind` (``caliper``, ``by eye``, ``doubtful``).
    course : DataFrame
        The way ahead: `at`, `low_mm`, `size_mm`, `high_mm`, mm; may be empty.
    marks : DataFrame
        Moments to name: `at` and `label`.
    limit_mm, new_mm : float
        Replace at or below, and size when new, mm.
    length_unit : {'mm', 'in'}
        Unit of the axis.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette = DARK if dark else LIGHT
    scale = 1.0 / MM_PER_INCH if length_unit == "in" else 1.0
    figure = go.Figure([*_band(course, scale, palette), *_looks(readings, scale, palette)])
    figure.add_hline(
        y=limit_mm * scale,
        line={"color": palette.vermilion, "width": 2, "dash": "dash"},
        annotation={
            "text": f"limit {words.size(limit_mm, length_unit)}",
            "font": {"color": palette.vermilion},
            "xanchor": "left",
            "x": 0.0,
            "yanchor": "top",
        },
    )
    for row, (at, label) in enumerate(zip(marks["at"], marks["label"], strict=True)):
        _mark(figure, at, label, row, palette)
    figure.update_layout(template=template(palette), height=300, margin={"t": 60})
    allowance = new_mm - limit_mm
    lowest = min([limit_mm - 0.25 * allowance, *readings["low_mm"].dropna() - 0.05 * allowance])
    figure.update_yaxes(
        title_text=length_unit, range=[lowest * scale, (new_mm + 0.1 * allowance) * scale]
    )
    return figure


def clock_hours(hours: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw a hull's hours week by week, one panel for each clock.

    Parameters
    ----------
    hours : DataFrame
        One row per week and clock: `week` (its first day, local), `clock` (text), `hours`.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette = DARK if dark else LIGHT
    figure = go.Figure()
    clocks = list(hours["clock"].unique())
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
    figure.update_layout(template=template(palette), height=120 + 110 * len(clocks), bargap=0.25)
    figure.update_yaxes(rangemode="tozero", nticks=4)
    figure.update_xaxes(tickformat="%-d %b")
    return figure


def _short(said: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    return np.char.replace(said, "over 99 in 100", "99 in 100")


def _band(course: pd.DataFrame, scale: float, palette: Palette) -> list[go.Scatter]:
    """Draw the 80 % band as a closed outline, and its middle over it."""
    outline = pd.concat([course["at"], course["at"][::-1]])
    edge = pd.concat([course["low_mm"], course["high_mm"][::-1]]) * scale
    return [
        go.Scatter(
            x=outline,
            y=edge,
            mode="lines",
            line={"width": 0},
            fill="toself",
            fillcolor=palette.band,
            hoverinfo="skip",
            name="forecast, 80 %",
        ),
        go.Scatter(
            x=course["at"],
            y=course["size_mm"] * scale,
            mode="lines",
            line={"color": palette.blue, "width": 2, "dash": "dot"},
            customdata=course[["low_mm", "high_mm"]] * scale,
            hovertemplate="%{x|%-d %b %Y}: most likely %{y:.2f}, "
            "%{customdata[0]:.2f} to %{customdata[1]:.2f}<extra></extra>",
            name="forecast, middle",
        ),
    ]


_SYMBOLS: Final = {"caliper": "circle", "by eye": "diamond-open", "doubtful": "x-thin-open"}


def _looks(readings: pd.DataFrame, scale: float, palette: Palette) -> list[go.Scatter]:
    """Draw each kind of look with its own marker and its 80 % error bar."""
    traces = []
    for kind, symbol in _SYMBOLS.items():
        part = readings[(readings["kind"] == kind) & readings["size_mm"].notna()]
        colour = palette.quiet if kind == "doubtful" else palette.text
        traces.append(
            go.Scatter(
                x=part["at"],
                y=part["size_mm"] * scale,
                mode="markers",
                name=kind,
                marker={"symbol": symbol, "size": 9, "color": colour, "line": {"width": 2}},
                error_y={
                    "type": "data",
                    "array": (part["high_mm"] - part["size_mm"]) * scale,
                    "arrayminus": (part["size_mm"] - part["low_mm"]) * scale,
                    "thickness": 1.5,
                    "width": 4,
                    "color": colour,
                },
                hovertemplate=f"%{{x|%-d %b %Y, %H:%M}}: %{{y:.2f}}, {kind}<extra></extra>",
            )
        )
    return traces


def _mark(figure: go.Figure, at: pd.Timestamp, label: str, row: int, palette: Palette) -> None:
    """Name a moment over the picture; labels alternate between two heights."""
    colour = palette.vermilion if label.startswith("pull") else palette.quiet
    figure.add_vline(x=at, line={"color": colour, "width": 1.5, "dash": "dot"})
    figure.add_annotation(
        text=label,
        x=at,
        xref="x",
        y=1.02 + 0.09 * (row % 2),
        yref="paper",
        yanchor="bottom",
        showarrow=False,
        font={"color": colour, "size": 13},
    )
