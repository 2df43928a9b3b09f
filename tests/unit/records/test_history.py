"""A hull's history says the same whichever type the columns of text have come in."""

from dataclasses import replace

import numpy as np
import pandas as pd

from corrosion.records import Logbook, hull_history
from tests.chain import links
from tests.fleets import FleetLogs

STRINGS = pd.StringDtype(na_value=np.nan)  # what pandas 3 makes of text by itself


def with_strings(table: pd.DataFrame) -> pd.DataFrame:
    return table.astype({name: STRINGS for name in table.columns if table[name].dtype == object})


def typed(logbook: Logbook) -> Logbook:
    history = {log: with_strings(table) for log, table in logbook.history.items()}
    return replace(logbook, history=history)


def test_unknown_text_is_empty_or_said_whatever_type_of_text_it_is() -> None:
    fleet = FleetLogs().hull("H1").mooring("E", "salt").position("pencil").berth("H1", "E")
    fleet.fitting("H1", "pencil", "2031-04-01").reading("H1", "pencil", "2031-04-12 07:00")
    fleet.reading("H1", "pencil", "2031-04-20 07:00", 8.0, note="wet hands")
    fleet.add("engine_swaps", hull_id="H1", swapped_at="2031-04-22", engine=None)
    checked = links(fleet).checked
    usual = hull_history(checked.logbook, checked, "H1")
    strings = hull_history(typed(checked.logbook), checked, "H1")
    pd.testing.assert_frame_equal(strings.astype(object), usual.astype(object))
    assert "another engine: which one is not said" in strings["what"].tolist()
    assert "pencil: looked at, nothing noted" in strings["what"].tolist()
    assert set(strings["note"]) == {"", "wet hands"}
