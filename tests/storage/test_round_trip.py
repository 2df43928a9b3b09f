"""The demo fleet through CSV and back: the same rows are used, and the same are objected to."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.records import operator
from corrosion.records.checks import check_logs
from corrosion.records.export import export_logs
from corrosion.records.importing import import_rows, propose
from corrosion.records.logbook import read_fleet
from corrosion.records.logs import LOGS

DEMO = Path(__file__).parents[2] / "demo_fleet" / "logs"
OF_THE_WRITING = {"entry_id", "entered_by", "corrects"}


@pytest.mark.slow
def test_the_demo_fleet_exported_to_csv_and_imported_is_checked_to_the_same_rows(
    tmp_path: Path,
) -> None:
    new = tmp_path / "new"
    new.mkdir()
    (new / "fleet.toml").write_bytes((DEMO / "fleet.toml").read_bytes())
    files = export_logs(DEMO, tmp_path / "out")
    for log, file in zip(files["log"], files["file"], strict=True):
        done = import_rows(
            new, propose(new, log, Path(file).read_bytes(), file), operator("office")
        )
        assert (log, done.already, len(done.aside)) == (log, 0, 0)
    one, other = check_logs(read_fleet(DEMO)), check_logs(read_fleet(new))
    assert one.logbook.on == other.logbook.on
    for log in LOGS:
        names = [name for name in LOGS[log].names if name not in OF_THE_WRITING]
        pd.testing.assert_frame_equal(one.tables[log][names], other.tables[log][names])
    rules = [each.objections.groupby(["log", "rule"]).size() for each in (one, other)]
    pd.testing.assert_series_equal(*rules)
