"""One anode over time: readings, the way ahead, the limit."""

from __future__ import annotations

from typing import Final

import pandas as pd
import plotly.graph_objects as go

from corrosion.common import formatting
from corrosion.reports.charts.look import Palette, opened

LEAST_BACK: Final = pd.Timedelta(days=120)
MOST_BACK: Final = pd.Timedelta(days=400)
LEAST_UNSEEN_DAYS: Final = 7
_SYMBOLS: Final = {"caliper": "circle", "by eye": "diamond-open", "doubtful": "x-thin-open"}


def anode_course(
    readings: pd.DataFrame,
    course: pd.DataFrame,
    marks: pd.DataFrame,
    limit_mm: float,
    new_mm: float,
    *,
    past: pd.DataFrame | None = None,
    length_unit: str = "mm",
    dark: bool = False,
) -> go.Figure:
    """Draw one anode: its course through the looks, the way ahead past the limit, 80 % bands.

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
    past : DataFrame, optional
        The course until now: `at`, `low_mm`, `size_mm`, `high_mm`, and `looked`, false since the
        last look, which is drawn as not looked at.
    length_unit : {'mm', 'in'}
        Unit of the axis.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 280, margin={"t": 48})
    scale = 1.0 / formatting.MM_PER_INCH if length_unit == "in" else 1.0
    behind = [] if past is None or past.empty else _behind(past, scale, palette)
    figure.add_traces([*behind, *_band(course, scale, palette), *_looks(readings, scale, palette)])
    if past is not None and not past.empty:
        _not_looked_at(figure, past, palette)
    figure.add_hline(
        y=limit_mm * scale,
        line={"color": palette.vermilion, "width": 2, "dash": "dash"},
        annotation={
            "text": f"limit {formatting.size(limit_mm, length_unit)}",
            "font": {"color": palette.vermilion},
            "xanchor": "left",
            "x": 0.0,
            "yanchor": "top",
        },
    )
    window = _window(readings, course)
    if window is not None:
        marks = marks[marks["at"].between(window[0], window[1])]
        figure.update_xaxes(range=window)
    for row, (at, label) in enumerate(zip(marks["at"], marks["label"], strict=True)):
        _mark(figure, at, label, row, palette)
    allowance = new_mm - limit_mm
    lowest = min([limit_mm - 0.25 * allowance, *readings["low_mm"].dropna() - 0.05 * allowance])
    figure.update_yaxes(
        title_text=f"size, {length_unit}",
        range=[lowest * scale, (new_mm + 0.1 * allowance) * scale],
    )
    return figure


def _window(
    readings: pd.DataFrame, course: pd.DataFrame
) -> tuple[pd.Timestamp, pd.Timestamp] | None:
    """Leave the way ahead about a quarter of the width, and the past the rest."""
    if course.empty:
        return None
    today, end = course["at"].min(), course["at"].max()
    back = min(max(3 * (end - today), LEAST_BACK), MOST_BACK)
    start = today - back
    if not readings.empty:
        start = max(start, min(readings["at"].min(), today) - pd.Timedelta(days=7))
    return start, end + 0.02 * (end - start)


def _behind(past: pd.DataFrame, scale: float, palette: Palette) -> list[go.Scatter]:
    """Draw the course through the looks: its 80 % band and its middle."""
    outline = pd.concat([past["at"], past["at"][::-1]])
    edge = pd.concat([past["low_mm"], past["high_mm"][::-1]]).astype(float) * scale
    hover = "%{x|%-d %b %Y}: %{y:.2f} by the fit<extra></extra>"
    size = past["size_mm"].astype(float) * scale
    looked = past["looked"].astype(bool)
    # the stretch since the last look begins where the looked at one ends
    since = ~looked | ~looked.shift(-1, fill_value=True)
    band = go.Scatter(
        x=outline, y=edge, mode="lines", line={"width": 0}, fill="toself",
        fillcolor=palette.band, hoverinfo="skip", name="fitted, 80 %",
    )  # fmt: skip
    lines = [
        go.Scatter(
            x=past["at"][part], y=size[part], mode="lines", hovertemplate=hover, name=name,
            line={"color": palette.blue, "width": 2, "dash": dash},
        )
        for part, dash, name in ((looked, "solid", "fitted"), (since, "dot", "not looked at"))
    ]  # fmt: skip
    return [band, *lines]


def _not_looked_at(figure: go.Figure, past: pd.DataFrame, palette: Palette) -> None:
    """Shade the days since the last look, and say how many they are."""
    unseen = past.loc[~past["looked"].astype(bool), "at"]
    if len(unseen) < 2:
        return
    first, today = unseen.iloc[0], unseen.iloc[-1]
    days = round((today - first) / pd.Timedelta(days=1))
    if days < LEAST_UNSEEN_DAYS:
        return
    figure.add_vrect(x0=first, x1=today, fillcolor=palette.quiet, opacity=0.12, line_width=0)
    figure.add_annotation(
        text=f"not looked at for {days} days",
        x=today, xanchor="right", y=0.02, yref="paper", yanchor="bottom", showarrow=False,
        font={"color": palette.text, "size": 13},
    )  # fmt: skip


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
