"""Two taps write one row, also where the second meets the next form."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.common import ClockReading
from corrosion.data_entry import desk_of, draft
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from pages._shared import entry
from pages._shared.entry import Book, enter_plainly
from tests.fleets import usual_fleet

NOW = pd.Timestamp("2031-06-02 12:00", tz="UTC")


def test_the_second_tap_writes_nothing_and_a_later_one_does(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = [100.0]
    monkeypatch.setattr(entry.time, "monotonic", lambda: clock[0])
    folder = usual_fleet(1).season("H1", "2031-05-01", 20).write(tmp_path)
    desk = desk_of(check_logs(read_fleet(folder, NOW)), None, NOW)
    filled = {"hull_id": "H1", "at": ClockReading(NOW), "done": "yes", "minutes": "6"}
    book, names = Book(), set()
    for seconds in (0.0, 0.3, 60.0):
        clock[0] = 100.0 + seconds
        names.add(book.name)
        made = draft("flush", filled, desk)
        assert enter_plainly(book, folder, desk, made, "dock", "Written: a flush")
        assert book.said[0] == "Written: a flush"
    assert len(names) == 3
    assert len(read_fleet(folder, NOW + pd.Timedelta(hours=1)).history["flushes"]) == 2
