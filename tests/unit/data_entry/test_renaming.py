"""Rows under another id of a hull are brought home by corrections, and stay in the history."""

from pathlib import Path

import pandas as pd

from corrosion.data_entry import brought_home, stray_ids, write_draft
from corrosion.records import operator
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from tests.fleets import usual_fleet

NOW = pd.Timestamp("2031-06-01 12:00", tz="UTC")


def test_a_renamed_hull_gets_its_rows_back_and_nothing_is_rewritten(tmp_path: Path) -> None:
    fleet = usual_fleet().season("H1", "2031-04-10", 5).season("Plover", "2031-04-02", 5)
    fleet.reading("Plover", "pencil", "2031-04-06 15:00", 8.9).flush("Plover", "2031-04-02 12:00")
    folder = fleet.write(tmp_path)
    book = read_fleet(folder, NOW)
    assert stray_ids(book).to_dict() == {"Plover": 7}
    write_draft(folder, brought_home(book, "Plover", "H1"), operator("office"), "home", NOW)
    later = read_fleet(folder, NOW)
    assert stray_ids(later).empty
    assert len(later.outings) == len(book.outings)
    assert (later.outings["hull_id"] == "H1").sum() == 10
    assert (later.history["outings"]["standing"] == "corrected").sum() == 5
    assert "hull-unknown" not in set(check_logs(later).findings["rule"])


def test_without_a_row_under_that_id_there_is_nothing_to_bring_home(tmp_path: Path) -> None:
    book = read_fleet(usual_fleet().write(tmp_path), NOW)
    assert "No row stands" in brought_home(book, "Plover", "H1").wrong[0]
