"""Moorings beside each other: ratios, life curves, and the water over time."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.reports.charts.look import Palette, opened

ROW_PX: Final = 62
PANEL_PX: Final = 250
WATER_PX: Final = 150


def mooring_ratios(table: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw wear against the fleet's mean, raw beside adjusted, each with its 95 % interval.

    Parameters
    ----------
    table : DataFrame
        One row a mooring: `label`, `adjusted_ratio`, `low`, `high`, `raw_ratio`, `raw_low`,
        `raw_high`; the first row is drawn on top.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    palette, figure = opened(dark, 90 + ROW_PX * len(table))
    heights = np.arange(len(table), dtype=float)
    figure.add_traces(
        [
            _ratios(table, heights - 0.13, "adjusted", palette.blue, "circle", 4.0),
            _ratios(table, heights + 0.17, "raw", palette.quiet, "diamond-open", 1.5),
        ]
    )
    figure.add_vline(x=1, line={"color": palette.quiet, "width": 1, "dash": "dot"})
    ends = table[["low", "raw_low", "adjusted_ratio", "high", "raw_high"]].to_numpy(float)
    ends = ends[np.isfinite(ends) & (ends > 0)]
    low, high = (ends.min(), ends.max()) if ends.size else (0.5, 2.0)
    ticks = [t for t in (0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10) if low / 1.6 < t < high * 1.6]
    figure.update_xaxes(
        type="log",
        tickvals=ticks,
        ticktext=[f"{t:g} ×" for t in ticks],
        title_text="wear against the fleet's mean",
        range=[np.log10(low / 1.25), np.log10(high * 1.35)],
    )
    figure.update_yaxes(
        tickvals=heights,
        ticktext=[f"<b>{label}</b>" for label in table["label"]],
        range=[len(table) - 0.5, -0.6],
        showgrid=False,
        ticks="",
    )
    return figure


def _ratios(
    table: pd.DataFrame, heights: np.ndarray, kind: str, colour: str, symbol: str, width: float
) -> go.Scatter:
    names = (
        ("raw_ratio", "raw_low", "raw_high") if kind == "raw" else ("adjusted_ratio", "low", "high")
    )
    middle, low, high = (table[name].to_numpy(float) for name in names)
    return go.Scatter(
        x=middle,
        y=heights,
        mode="markers+text",
        name=kind,
        text=[kind if row == 0 else "" for row in range(len(table))],
        textposition="bottom center" if kind == "raw" else "top center",
        textfont={"color": colour, "size": 13},
        cliponaxis=False,
        marker={"symbol": symbol, "size": 9, "color": colour, "line": {"width": 2}},
        error_x={
            "type": "data",
            "array": high - middle,
            "arrayminus": middle - low,
            "thickness": width,
            "width": 0,
            "color": colour,
        },
        customdata=np.column_stack([table["label"], low, high]),
        hovertemplate=f"%{{customdata[0]}}, {kind}: %{{x:.2f}}, "
        "%{customdata[1]:.2f} to %{customdata[2]:.2f}<extra></extra>",
    )


def life_curves(
    curves: dict[str, dict[str, pd.DataFrame]], unit: str, *, dark: bool = False
) -> go.Figure:
    """Draw the life of a mooring's anodes, one panel a mooring, numbers under watch under it.

    Parameters
    ----------
    curves : mapping of str to mapping of str to DataFrame
        For each panel's heading: `counted` (Kaplan-Meier: exposure, sound, low, high), `brackets`
        (Turnbull: after, to, sound), `model` (exposure, sound), `watched` (exposure, anodes).
    unit : str
        What exposure is counted in.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    rows = max(len(curves), 1)
    palette, figure = opened(dark, 70 + PANEL_PX * rows, margin={"t": 40, "b": 30})
    figure.set_subplots(rows=rows, cols=1, shared_xaxes=True, vertical_spacing=0.34 / rows)
    for row, (heading, parts) in enumerate(curves.items(), start=1):
        for trace in _curve(parts, palette, row == 1):
            figure.add_trace(trace, row=row, col=1)
        _note(figure, row, f"<b>{heading}</b>", 0, 1.04, "left")
        for at, anodes in zip(
            parts["watched"]["exposure"], parts["watched"]["anodes"], strict=True
        ):
            figure.add_annotation(
                text=f"{anodes}", x=at, y=-0.16, xref=f"x{row if row > 1 else ''}",
                yref=f"y{row if row > 1 else ''} domain", yanchor="top", showarrow=False,
                font={"color": palette.quiet, "size": 12},
            )  # fmt: skip
    figure.update_yaxes(range=[0, 1.03], tickformat=".0%", nticks=5, title_text="still sound")
    figure.update_xaxes(rangemode="tozero", showticklabels=True)
    title = f"{unit}; in grey: anodes still watched"
    figure.update_xaxes(title_text=title, title_standoff=26, row=rows, col=1)
    return figure


def _curve(parts: dict[str, pd.DataFrame], palette: Palette, named: bool) -> list[go.Scatter]:
    counted, model, brackets = parts["counted"], parts["model"], parts["brackets"]
    band = counted.dropna(subset=["low", "high"])
    steps: dict[str, Any] = {"mode": "lines", "hoverinfo": "skip"}
    ends = brackets[np.isfinite(brackets["to"])]
    return [
        go.Scatter(x=band["exposure"], y=band["low"], line={"width": 0, "shape": "hv"}, **steps),
        go.Scatter(
            x=band["exposure"], y=band["high"], line={"width": 0, "shape": "hv"},
            fill="tonexty", fillcolor=palette.band, **steps,
        ),
        go.Scatter(
            x=counted["exposure"],
            y=counted["sound"],
            mode="lines+text",
            line={"color": palette.blue, "width": 2.5, "shape": "hv"},
            text=_label_at_end(counted, "counted") if named else None,
            textposition="top left",
            textfont={"color": palette.blue, "size": 13},
            name="counted",
            hovertemplate="counted: %{y:.0%} sound at %{x:.0f}<extra></extra>",
        ),
        go.Scatter(
            x=ends["to"],
            y=ends["sound"],
            mode="markers",
            marker={"symbol": "x-thin-open", "size": 8, "color": palette.text},
            name="brackets",
            hovertemplate="brackets alone: %{y:.0%} sound by %{x:.0f}<extra></extra>",
        ),
        go.Scatter(
            x=model["exposure"],
            y=model["sound"],
            mode="lines+text",
            line={"color": palette.vermilion, "width": 2, "dash": "dash"},
            text=_label_once(model, "life model") if named else None,
            textposition="top right",
            textfont={"color": palette.vermilion, "size": 13},
            name="model",
            hovertemplate="life model: %{y:.0%} sound at %{x:.0f}<extra></extra>",
        ),
    ]  # fmt: skip


def _label_once(curve: pd.DataFrame, label: str) -> list[str]:
    """Put a label where the curve has fallen to about six tenths, or at its end."""
    at = int(np.argmin(np.abs(curve["sound"].to_numpy(float) - 0.3))) if len(curve) else 0
    return [f" {label}" if row == at else "" for row in range(len(curve))]


def _label_at_end(curve: pd.DataFrame, label: str) -> list[str]:
    return [label if row == len(curve) - 1 else "" for row in range(len(curve))]


def _note(figure: go.Figure, row: int, text: str, x: float, y: float, anchor: str) -> None:
    figure.add_annotation(
        text=text, xref="x domain", yref="y domain", x=x, y=y, xanchor=anchor, yanchor="bottom",
        showarrow=False, row=row, col=1,
    )  # fmt: skip


def water_over_time(record: pd.DataFrame, *, dark: bool = False) -> go.Figure:
    """Draw salinity and temperature of each mooring over time, a pair of panels a mooring.

    Parameters
    ----------
    record : DataFrame
        One row a sample: `label` (panel), `at` (local time), `salinity` (g/kg), `how` (``measured``
        or ``from conductivity``), `temperature_c`.
    dark : bool
        Whether the page is dark.

    Returns
    -------
    Figure
    """
    labels = list(record["label"].unique())
    rows = max(2 * len(labels), 1)
    palette, figure = opened(dark, 60 + WATER_PX * rows, margin={"t": 34})
    figure.set_subplots(rows=rows, cols=1, shared_xaxes=True, vertical_spacing=0.5 / rows)
    for number, label in enumerate(labels):
        part = record[record["label"] == label]
        for how, symbol in (("measured", "circle"), ("from conductivity", "circle-open")):
            some = part[part["how"] == how]
            figure.add_trace(
                _samples(some["at"], some["salinity"], palette.blue, symbol, how, "g/kg"),
                row=2 * number + 1, col=1,
            )  # fmt: skip
        warm = part.dropna(subset=["temperature_c"])
        figure.add_trace(
            _samples(
                warm["at"], warm["temperature_c"], palette.vermilion, "diamond", "temperature", "°C"
            ),
            row=2 * number + 2, col=1,
        )  # fmt: skip
        _note(figure, 2 * number + 1, f"<b>{label}</b>: salinity, g/kg", 0, 1.02, "left")
        _note(figure, 2 * number + 2, "temperature, °C", 0, 1.02, "left")
        figure.update_yaxes(rangemode="tozero", row=2 * number + 1, col=1)
    figure.update_yaxes(nticks=4)
    figure.update_xaxes(tickformat="%b %Y", nticks=5)
    return figure


def _samples(
    at: pd.Series, value: pd.Series, colour: str, symbol: str, name: str, unit: str
) -> go.Scatter:
    return go.Scatter(
        x=at,
        y=value,
        mode="markers",
        marker={"symbol": symbol, "size": 7, "color": colour, "line": {"width": 1.5}},
        name=name,
        hovertemplate=f"%{{x|%-d %b %Y}}: %{{y:.2f}} {unit}, {name}<extra></extra>",
    )
