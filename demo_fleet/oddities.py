"""What truly befell the fleet, written into the ledger: no fault of the logs, but worth finding."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd

from demo_fleet.desk import Tables
from demo_fleet.ledger import Ledger
from demo_fleet.truth import HullTruth, World


def _at(world: World, day: int, hour: float = 6.0) -> pd.Timestamp:
    return world.calendar.stamps(world.calendar.hours([day], hour))[0]


def _moved(ledger: Ledger, world: World, truths: list[HullTruth], tables: Tables) -> None:
    for move in world.scenario.stories.moves:
        water = world.scenario.mooring(move.mooring_id).water
        ledger.note(
            "moved", "berths", f"to live in {water} water",
            hull_id=move.hull_id, mooring_id=move.mooring_id, first_at=_at(world, move.day),
        )  # fmt: skip


def _painted(ledger: Ledger, world: World, truths: list[HullTruth], tables: Tables) -> None:
    for paint in world.scenario.stories.painted:
        ledger.note(
            "painted", "readings", "fitted new and painted over the same day: does not wear",
            hull_id=paint.hull_id, position=paint.position, first_at=_at(world, paint.day, 12.0),
        )  # fmt: skip


def _wrong_alloy(ledger: Ledger, world: World, truths: list[HullTruth], tables: Tables) -> None:
    fittings = tables["fittings"]
    for wrong in world.scenario.stories.wrong_alloys:
        same = (fittings["hull_id"] == wrong.hull_id) & (fittings["position"] == wrong.position)
        times = world.physics.magnesium_in_salt
        for index in np.flatnonzero((same & (fittings["alloy"] == wrong.alloy)).to_numpy()):
            row = {str(c): v for c, v in fittings.loc[int(index)].to_dict().items()}
            ledger.note_row(
                "wrong-alloy", "fittings", row, f"wears {times:g} times as fast in this water",
                first_at=row["fitted_at"], as_written=wrong.alloy,
            )  # fmt: skip


def _stray(ledger: Ledger, world: World, truths: list[HullTruth], tables: Tables) -> None:
    for truth in truths:
        hot = np.flatnonzero(truth.stray > 1.0)
        if len(hot):
            first, last = world.calendar.stamps(world.marks_h[[hot[0], hot[-1] + 1]])
            ledger.note(
                "stray-current", "berths",
                f"hull circuit wore {truth.stray.max():g} times as fast at the berth",
                hull_id=truth.hull.hull_id, mooring_id=truth.hull.mooring_id,
                first_at=first, last_at=last,
            )  # fmt: skip


def _sold(ledger: Ledger, world: World, truths: list[HullTruth], tables: Tables) -> None:
    for hull_id, day in world.scenario.stories.sold:
        ledger.note("sold", "hulls", "left the fleet", hull_id=hull_id, first_at=_at(world, day, 0))


def _unread(ledger: Ledger, world: World, truths: list[HullTruth], tables: Tables) -> None:
    for hull_id, day in world.scenario.stories.unread:
        ledger.note(
            "unread", "readings", "nobody looked from this day on",
            hull_id=hull_id, first_at=_at(world, day, 0),
        )  # fmt: skip


TELLERS: tuple[Callable[[Ledger, World, list[HullTruth], Tables], None], ...] = (
    _moved, _painted, _wrong_alloy, _stray, _sold, _unread,
)  # fmt: skip


def tell(ledger: Ledger, world: World, truths: list[HullTruth], tables: Tables) -> None:
    """Write down every story whose hull is in this fleet."""
    hulls = {truth.hull.hull_id for truth in truths}
    ledger_of_hulls = Ledger()
    for teller in TELLERS:
        teller(ledger_of_hulls, world, truths, tables)
    ledger.rows.extend(row for row in ledger_of_hulls.rows if row["hull_id"] in hulls)
