"""What a track record asks of the forecasts holds, and a record is whole or not kept."""

import shutil
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

from corrosion.command_line import main
from corrosion.common import Refusal
from corrosion.forecast.backtest import (
    Record,
    cache,
    record_file,
    runner,
    sharing,
    track_record,
    widening_asked,
)
from tests.fleets import FleetLogs, write_log

pytestmark = pytest.mark.slow

ON = "2031-08-01"


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Record]:
    """Three hulls, looked at every two weeks, and their record."""
    base = tmp_path_factory.mktemp("recorded")
    fleet = FleetLogs().mooring("E", "salt").position("pencil", gauge="diameter")
    fleet.setting(simulated=True)
    for number in range(3):
        hull = f"H{number}"
        fleet.hull(hull).berth(hull, "E", "lifted").fitting(hull, "pencil", "2031-04-01")
        fleet.season(hull, "2031-04-02", 100)
        for turn, day in enumerate(pd.date_range("2031-04-15", periods=7, freq="14D")):
            fleet.reading(hull, "pencil", f"{day:%Y-%m-%d}", 8.8 - (0.2 + 0.02 * number) * turn)
    folder = fleet.write(base / "fleet")
    return folder, track_record(folder, weeks=3, place=base / "cache")


@pytest.fixture
def folder(recorded: tuple[Path, Record], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a copy of the fleet, with a record that says that its ranges were too narrow."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setattr("corrosion.forecast.backtest.widening.LEAST_LOOKS", 3)
    original, record = recorded
    folder = Path(shutil.copytree(original, tmp_path / "fleet"))
    state = runner._state(folder, None, 3)
    poor = record.judged.assign(low=record.judged["next_worn"] + 0.01)
    poor["high"] = poor["low"] + 0.02
    cache.keep(poor.assign(state=state, on=record.on), record_file(folder))
    return folder


def test_the_widening_outlasts_one_more_entry_and_another_date(folder: Path) -> None:
    factor = widening_asked(folder)
    assert factor > 1.0
    late = FleetLogs().outing("H1", "2031-07-12 09:00").rows["outings"]
    write_log(folder, "outings", late)
    assert widening_asked(folder) == factor
    assert widening_asked(folder, ON) == factor


def test_looks_that_were_not_taken_yet_ask_for_nothing(folder: Path) -> None:
    assert widening_asked(folder, "2031-05-01") == 1.0


def test_a_record_of_another_method_asks_for_nothing(folder: Path) -> None:
    known = cache.recall(record_file(folder))
    old = known["state"].str.replace("2026", "1999", regex=False)
    assert not old.equals(known["state"])
    cache.keep(known.assign(state=old), record_file(folder))
    assert widening_asked(folder) == 1.0


def test_commands_widen_where_they_are_asked_to_and_only_there(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def answer(*options: str) -> str:
        assert main(["anodes", str(folder), "--format", "csv", *options]) == 0
        return capsys.readouterr().out

    plain, wide = answer(), answer("--widened")
    assert plain != wide
    record_file(folder).unlink()
    assert answer() == plain == answer("--widened")


def test_a_record_of_which_one_share_failed_is_refused_and_not_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    record_file(folder).unlink()
    begun: list[Path] = []

    def fails_once(folder: Path, file: Path, weeks: object, trouble: object) -> object:
        begun.append(file)
        program = "import sys; sys.exit('no memory left')" if len(begun) == 2 else "pass"
        return subprocess.Popen(
            [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=trouble, text=True
        )  # type: ignore[call-overload]

    monkeypatch.setattr(runner, "ALONE", 0)
    monkeypatch.setattr(sharing, "_cores", lambda: 2)
    monkeypatch.setattr(sharing, "_process", fails_once)
    with pytest.raises(Refusal, match=r"1 of 2 processes .* failed \(no memory left\)"):
        track_record(folder, weeks=3)
    assert not record_file(folder).exists()


def test_where_a_system_does_not_tell_its_free_cores_all_are_counted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delattr("os.sched_getaffinity", raising=False)
    monkeypatch.setattr("os.cpu_count", lambda: 7)
    assert sharing._cores() == 7
