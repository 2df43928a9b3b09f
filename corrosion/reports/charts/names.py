"""Names on figures as text: Plotly reads tags in every text it draws, and makes links of them."""

from __future__ import annotations

import re
from typing import Any, Final

import numpy as np
import plotly.graph_objects as go

# what our own figures write; whatever else looks like a tag stands in a name
_STRANGE: Final = re.compile(r"<(?!/?(?:b|br|i|extra)(?:\s*/)?>)", re.I)


def names_as_text(figure: go.Figure) -> go.Figure:
    """Return a figure in which a tag in a name shows as it is written.

    Parameters
    ----------
    figure : Figure, left as it is

    Returns
    -------
    Figure
        No text in it is a link, and none asks for anything from anywhere.
    """
    return go.Figure(_plain(figure.to_plotly_json()), skip_invalid=False)


def _plain(part: Any) -> Any:
    if isinstance(part, str):
        return _STRANGE.sub("&lt;", part)
    if isinstance(part, dict):
        return {name: _plain(inner) for name, inner in part.items()}
    if isinstance(part, list | tuple):
        return [_plain(inner) for inner in part]
    if isinstance(part, np.ndarray) and part.dtype.kind in "OUT":
        return np.array([_plain(inner) for inner in part.tolist()], dtype=object)
    return part
