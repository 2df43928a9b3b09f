"""The look of every figure: two palettes, one template.

Colours are told apart by colour-blind eyes (Okabe and Ito, 2008, "Color Universal Design") and
never stand alone: a dash, a marker or a word goes with each. Backgrounds are transparent, so
that a figure takes the page's, on paper too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import plotly.graph_objects as go
from plotly.colors import sample_colorscale

FONT: Final = '"Source Sans", "Segoe UI", Helvetica, Arial, sans-serif'
BLACK_OVER_WHITE: Final = 0.179
"""Relative luminance from which black has more contrast than white: sqrt(1.05 * 0.05) - 0.05."""


@dataclass(frozen=True)
class Palette:
    """Colours of one theme; contrast with the page is at least 4.5:1 for text, 3:1 for marks."""

    text: str
    quiet: str
    grid: str
    blue: str
    vermilion: str
    sky: str
    plum: str
    band: str
    heat: tuple[tuple[float, str], ...]


LIGHT: Final = Palette(
    text="#1b2733",
    quiet="#52606d",
    grid="#dfe5ea",
    blue="#0072b2",
    vermilion="#b34700",
    sky="#3182bd",
    plum="#8f4f8a",
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
    plum="#d8a0d0",
    band="rgba(86,180,233,0.24)",
    heat=((0.0, "#1d2833"), (0.1, "#4a3022"), (0.4, "#a34a16"), (1.0, "#ff6b3d")),
)


LEGEND_ABOVE: Final = {
    "orientation": "h",
    "y": 1.0,
    "yanchor": "bottom",
    "x": 0.0,
    "xanchor": "left",
}
"""Where a picture has a legend, it stands over it, from the left: a phone keeps its width."""


def palette_of(dark: bool) -> Palette:
    """Choose the palette of a page."""
    return DARK if dark else LIGHT


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


def opened(dark: bool, height: int, **layout: object) -> tuple[Palette, go.Figure]:
    """Begin a figure in the look that all share.

    Parameters
    ----------
    dark : bool
        Whether the page is dark.
    height : int
        In pixels; the width is the page's.
    **layout : object
        What else is laid out in a way of its own.

    Returns
    -------
    Palette, Figure
    """
    palette = palette_of(dark)
    look = {"template": template(palette), "height": height, **layout}
    return palette, go.Figure(layout=look)


def ink(share: float, palette: Palette) -> str:
    """Give black or white, whichever stands out more from the heat colour of a chance."""
    (colour,) = sample_colorscale([list(stop) for stop in palette.heat], [share], colortype="tuple")
    return "#000000" if luminance(colour) > BLACK_OVER_WHITE else "#ffffff"


def luminance(colour: tuple[float, float, float]) -> float:
    """Give the relative luminance of an sRGB colour, parts 0 to 1 (WCAG 2.2)."""
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in colour]
    return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))
