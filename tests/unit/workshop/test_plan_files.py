"""The command `plan` leaves work sheets and a calendar where it is told to, and nowhere else."""

from pathlib import Path

import pytest
from icalendar import Calendar

from corrosion.command_line import main
from tests.fleets import usual_fleet

pytestmark = pytest.mark.slow

ON = ("--on", "2031-06-01T05:00")


@pytest.fixture(scope="module")
def fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    fleet = usual_fleet(2)
    for hull_id, lost_mm in (("H1", 2.5), ("H2", 0.3)):
        fleet.season(hull_id, "2031-04-02", 58)
        for day, share in ((20, 0.35), (40, 0.7), (58, 1.0)):
            at = f"2031-{4 + day // 30:02d}-{1 + day % 30:02d} 07:00"
            fleet.reading(hull_id, "pencil", at, round(9.0 - lost_mm * share, 2))
    return fleet.write(tmp_path_factory.mktemp("fleet"))


def test_sheets_and_calendar_are_written_and_the_answer_is_as_ever(
    fleet: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "week.ics"
    words = ["plan", str(fleet), *ON, "--sheets", str(tmp_path), "--calendar", str(file)]
    assert main(words) == 0
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == [
        "pick-list-2031-06-02-a4.html",
        "pick-list-2031-06-02-letter.html",
        "week.ics",
        "work-sheets-2031-06-02-a4.html",
        "work-sheets-2031-06-02-letter.html",
    ]
    assert "<bdi>H1</bdi>" in (tmp_path / names[3]).read_text(encoding="utf-8")
    raw = file.read_bytes()
    assert b"\r\n" in raw
    assert b"\r\r\n" not in raw
    assert [str(e["summary"])[:2] for e in Calendar.from_ical(raw).walk("VEVENT")] == ["H1"]
    shown = capsys.readouterr()
    assert "H1" in shown.out
    assert "Work sheets and pick list, A4 and Letter" in shown.err


@pytest.mark.parametrize("where", ["nowhere/week.ics", "readings/week.ics"])
def test_no_file_goes_among_the_logs_or_into_a_folder_that_is_not_there(
    fleet: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], where: str
) -> None:
    target = fleet / where
    words = ["plan", str(fleet), *ON, "--sheets", str(tmp_path), "--calendar", str(target)]
    assert main(words) == 1
    assert not target.exists()
    assert not list(tmp_path.iterdir())
    assert len(capsys.readouterr().err.splitlines()) == 1
