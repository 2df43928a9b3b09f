"""A list that can be pressed: a table on a desk, cards on a phone, whole on paper.

Cells are HTML made here from escaped text. A row that opens something carries an address, so
that it can also be opened in a new tab or sent; a plain press stays in the session.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.reports import metal_left

_HERE = Path(__file__).parent

_mount = st.components.v2.component(
    "corrosion.listing",
    html='<div class="listing"></div>',
    css=(_HERE / "listing.css").read_text(encoding="utf-8"),
    js=(_HERE / "listing.js").read_text(encoding="utf-8"),
)


@dataclass(frozen=True)
class Row:
    """One row: a cell of HTML for each heading, and the hull that a press opens, if any."""

    cells: tuple[str, ...]
    opens: str | None = None


def show(headings: Sequence[str], rows: Sequence[Row], key: str, caption: str) -> None:
    """Show rows; a press on one opens its hull."""
    press(written(headings, rows, caption), key)


def written(headings: Sequence[str], rows: Sequence[Row], caption: str) -> str:
    """Write rows as HTML for `press`, with the date and horizon that the address has now."""
    return table(headings, rows, caption, kept_address())


def press(html: str, key: str) -> None:
    """Show HTML made of escaped text; a press on what carries `data-open` opens that hull."""
    pressed = _mount(data={"html": html}, key=key, on_opened_change=lambda: None)
    if pressed.opened:
        st.switch_page("pages/hull.py", query_params={"hull": pressed.opened})


def table(
    headings: Sequence[str], rows: Sequence[Row], caption: str, parameters: dict[str, str]
) -> str:
    """Write the table as HTML; the heading of each column is repeated in its cells for phones."""
    head = "".join(f'<th scope="col">{escape(heading)}</th>' for heading in headings)
    body = "".join(_row(headings, row, parameters) for row in rows)
    return (
        f"<table><caption>{escape(caption)}</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )


def facts(rows: dict[str, str], key: str) -> None:
    """Show a few facts with their names in front."""
    pairs = "".join(f"<dt>{text(name)}</dt><dd>{text(fact)}</dd>" for name, fact in rows.items())
    _mount(data={"html": f"<dl>{pairs}</dl>"}, key=key, on_opened_change=lambda: None)


def address(hull_id: str) -> str:
    """Return the address that opens a hull, as yet without escapes."""
    return _plain_address(hull_id, kept_address())


def unfolds(label: str, html: str) -> str:
    """Write a cell's part that unfolds where it stands."""
    return f"<details><summary>{text(label)}</summary>{html}</details>"


def text(value: object) -> str:
    """Escape a value for a cell."""
    return escape(str(value))


def unbroken(value: object) -> str:
    """Write a value in bold that keeps to one line."""
    return f'<b class="said">{text(value)}</b>'


def strong(value: object, under: object = "", beside: str = "") -> str:
    """Write a value in bold, HTML `beside` it, and a quiet line under it."""
    return f"<b>{text(value)}</b>{beside}" + (f"<small>{text(under)}</small>" if under else "")


def chance(share: float, tolerated_risk: float) -> str:
    """Write a chance three ways at once: a shape with its word, the odds, and a bar."""
    level = formatting.level(share, tolerated_risk)
    if pd.isna(share):
        return f'<span class="said">{level}</span>'
    kind = level.split()[-1].lower()
    odds = (
        f'<b class="odds">{formatting.chance(share)}</b> <span class="level {kind}">{level}</span>'
    )
    return f'<span class="said">{odds}</span>{bar(share, kind)}'


def link(hull_id: str, inside: str = "", kind: str = "") -> str:
    """Write a hull as a link that opens it, with its name or other HTML `inside`."""
    address, name = _address(hull_id, kept_address()), text(hull_id)
    return f'<a class="{kind}" href="{address}" data-open="{name}">{inside or name}</a>'


def metal(anode: Any, position: str = "") -> str:
    """Draw what is left of an anode, with its words, and which anode it is, under the mark."""
    left = metal_left.metal_left(anode)
    words = f"{position}: {metal_left.in_words(left)}" if position else metal_left.in_words(left)
    return f'{metal_left.draw(left)}<small class="left">{text(words)}</small>'


def wide(html: str) -> str:
    """Give a long cell the whole width of a phone."""
    return f'<div class="wide">{html}</div>'


def bar(share: float, kind: str) -> str:
    """Draw a share, 0 to 1, as a bar that is never empty and never full."""
    width = min(max(round(100 * share), 2), 98)
    inside = f'<i class="{kind}" style="width:{width}%"></i>'
    return f'<span class="bar" aria-hidden="true">{inside}</span>'


def _row(headings: Sequence[str], row: Row, parameters: dict[str, str]) -> str:
    cells = [
        f'<td data-label="{escape(heading)}"><div>{cell}</div></td>'
        for heading, cell in zip(headings, row.cells, strict=True)
    ]
    if row.opens is None:
        return f"<tr>{''.join(cells)}</tr>"
    address = _address(row.opens, parameters)
    name = escape(row.opens)
    cells[0] = (
        f'<td data-label="{escape(headings[0])}"><a href="{address}" data-open="{name}">'
        f"{row.cells[0]}</a></td>"
    )
    return f'<tr data-open="{name}">{"".join(cells)}</tr>'


def _address(hull_id: str, parameters: dict[str, str]) -> str:
    return escape(_plain_address(hull_id, parameters))


def _plain_address(hull_id: str, parameters: dict[str, str]) -> str:
    return "hull?" + urlencode({"hull": hull_id, **parameters})


def kept_address() -> dict[str, str]:
    """Keep date and horizon in the addresses of rows, as the address bar has them."""
    parameters = st.query_params.to_dict()
    return {name: parameters[name] for name in ("on", "days") if name in parameters}
