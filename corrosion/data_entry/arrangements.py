"""Common arrangements of anodes, to start a layout from: places and circuits, never sizes.

What a new anode measures, when it is to be replaced and of which metal it is stands in the engine's
own manual, and nowhere else; nothing of it is built in. The arrangements are the project's own,
after what is common on small craft (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final

import pandas as pd

from corrosion.data_entry.cells import columns_of, row_of
from corrosion.data_entry.drafts import Draft, Row
from corrosion.records import Settings


@dataclass(frozen=True)
class Spot:
    """A place for an anode: its name, what wets it, what is measured, what comes apart with it."""

    position: str
    circuit: str
    gauge: str
    access_group: str


ARRANGEMENTS: Final[Mapping[str, tuple[Spot, ...]]] = {
    "jet boat": (
        Spot("cooler-pencil", "engine", "diameter", "cooler-end"),
        Spot("jacket-pencil", "engine", "diameter", "cooler-end"),
        Spot("pump-plate", "hull", "thickness", "stern-out"),
    ),
    "outboard, raw-water cooled": (
        Spot("block-button-upper", "engine", "length", "cover-off"),
        Spot("block-button-lower", "engine", "length", "cover-off"),
        Spot("bracket-bar", "hull", "thickness", "bracket"),
        Spot("trim-tab", "hull", "thickness", "leg"),
    ),
    "inboard, raw-water cooled": (
        Spot("block-pencil", "engine", "diameter", "block"),
        Spot("cooler-pencil", "engine", "diameter", "cooler-cap"),
        Spot("shaft-collar", "hull", "thickness", "stern-out"),
        Spot("rudder-disc", "hull", "thickness", "stern-out"),
    ),
    "inboard, heat exchanger": (
        Spot("exchanger-pencil", "engine", "diameter", "exchanger-cap"),
        Spot("oil-cooler-pencil", "engine", "diameter", "cooler-cap"),
        Spot("shaft-collar", "hull", "thickness", "stern-out"),
        Spot("hull-plate", "hull", "thickness", "hull-plate"),
    ),
    "sterndrive": (
        Spot("exchanger-pencil", "engine", "diameter", "exchanger-cap"),
        Spot("drive-block", "hull", "thickness", "drive"),
        Spot("gimbal-plate", "hull", "thickness", "drive"),
        Spot("trim-ring", "hull", "thickness", "drive"),
    ),
}


def layout_rows(layout: str, typed: pd.DataFrame, settings: Settings) -> Draft:
    """Turn a filled arrangement into rows of `anode_positions`.

    Parameters
    ----------
    layout : str
        Name of the layout.
    typed : DataFrame
        One row a place, columns of `anode_positions` without `layout`, as texts.
    settings : Settings
        Unit of lengths.

    Returns
    -------
    Draft
        One row a place; wrong where a size, a limit or its manual page is missing.
    """
    rows: list[Row] = []
    wrong: list[str] = []
    for cells in typed.fillna("").astype(str).to_dict("records"):
        texts: dict[str, str] = {str(name): text.strip() for name, text in cells.items()}
        if not texts.get("position"):
            continue
        made = row_of("anode_positions", texts | {"layout": layout.strip()}, settings)
        wrong += [f"{texts['position']}: {sentence}" for sentence in made.wrong]
        wrong += [f"{texts['position']}: {s}" for s in _limits(made.main.cells, made.wrong)]
        rows.append(made.main)
    if not layout.strip():
        wrong.insert(0, "Give the layout a name.")
    if not rows:
        wrong.append("Enter at least one place for an anode.")
    twice = pd.Series([row.cells.get("position") for row in rows]).duplicated()
    if twice.any():
        wrong.append("The same position stands there twice.")
    return Draft(tuple(rows), tuple(wrong))


def _limits(cells: Mapping[str, Any], wrong: tuple[str, ...]) -> list[str]:
    """Say what the register would object to at once, and ask for the manual's page."""
    sentences = []
    new_mm, limit_mm = cells.get("new_size_mm"), cells.get("limit_size_mm")
    if new_mm is not None and limit_mm is not None and not wrong and new_mm <= limit_mm:
        sentences.append("The limit must be below the size of a new part.")
    if not cells.get("limit_source"):
        sentences.append("Say in which manual and on which page the limit stands.")
    return sentences


def blank_layout(name: str) -> pd.DataFrame:
    """An arrangement as a table to fill in: places as they are common, everything else empty.

    Parameters
    ----------
    name : str
        One of `ARRANGEMENTS`; anything else gives empty lines.

    Returns
    -------
    DataFrame of str
        Columns of `anode_positions` without `layout`.
    """
    return _to_fill_in([asdict(spot) for spot in ARRANGEMENTS.get(name, ())])


def named_places(positions: Iterable[str]) -> pd.DataFrame:
    """Places that readings name already, as a table to fill in; like `blank_layout`."""
    return _to_fill_in([{"position": position} for position in positions])


def _to_fill_in(rows: list[dict[str, Any]]) -> pd.DataFrame:
    columns = [column.name for column in columns_of("anode_positions") if column.name != "layout"]
    return pd.DataFrame(rows, columns=columns, dtype=object).fillna("").astype(object)
