"""Commands: what they print, what they refuse, and that a refusal changes nothing."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

from corrosion import CAUTION
from corrosion.command_line import main
from corrosion.command_line.registry import COMMANDS
from corrosion.records.logs import LOGS, YARD_LOGS

pytestmark = pytest.mark.slow

HOUSE = Path(__file__).parents[3]


def run(*words: str | Path, stdin: None = None) -> subprocess.CompletedProcess[str]:
    """Run the whole program as a reader would."""
    return subprocess.run(
        [sys.executable, "-m", "corrosion", *map(str, words)],
        cwd=HOUSE,
        capture_output=True,
        text=True,
        check=False,
        stdin=subprocess.DEVNULL,
    )


def small_fleet(folder: Path) -> Path:
    """Two hulls, one anode each, and one impossible reading."""
    utc = "2031-05-0{}T08:00:00Z".format
    logs = {
        "hulls": {"hull_id": ["H01", "H02"], "layout": ["jet", "jet"]},
        "moorings": {"mooring_id": ["M1"], "water": ["salt"]},
        "berths": {
            "hull_id": ["H01", "H02"],
            "mooring_id": ["M1", "M1"],
            "stays": ["afloat", "afloat"],
            "since": pd.to_datetime([utc(1), utc(1)]),
        },
        "anode_positions": {
            "layout": ["jet"],
            "position": ["pencil"],
            "circuit": ["engine"],
            "alloy": ["zinc"],
            "new_size_mm": [10.0],
            "limit_size_mm": [7.0],
        },
        "fittings": {
            "hull_id": ["H01", "H02"],
            "position": ["pencil", "pencil"],
            "fitted_at": pd.to_datetime([utc(1), utc(1)]),
        },
        "readings": {
            "hull_id": ["H01", "H02"],
            "position": ["pencil", "pencil"],
            "read_at": pd.to_datetime([utc(5), utc(6)]),
            "size_mm": [9.5, 241.3],  # 9.5 mm again, times 25.4
        },
    }
    folder.mkdir()
    for log, columns in logs.items():
        pd.DataFrame(columns).to_parquet(folder / f"{log}.parquet")
    (folder / "fleet.toml").write_text('name = "Small fleet"\ntimezone = "Europe/Lisbon"\n')
    return folder


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    return small_fleet(tmp_path / "fleet")


def test_help_says_what_each_command_does_and_loads_neither_pandas_nor_statsmodels() -> None:
    probe = (
        "import sys\nfrom corrosion.command_line import main\n"
        "try: main(['--help'])\n"
        "finally: print([m for m in ('numpy', 'pandas', 'statsmodels') if m in sys.modules])"
    )
    printed = subprocess.run(
        [sys.executable, "-c", probe], cwd=HOUSE, capture_output=True, text=True, check=True
    ).stdout
    assert printed.splitlines()[-1] == "[]"
    assert all(command.name in printed for command in COMMANDS)


@pytest.mark.parametrize("name", [command.name for command in COMMANDS])
def test_every_command_has_help_and_takes_the_common_options(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit, match="0"):
        main([name, "--help"])
    help_text = capsys.readouterr().out
    assert all(option in help_text for option in ("--on", "--format", "--output", "not certify"))


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["paint"],
        ["check"],
        ["check", ".", "--on", "yesterday"],
        ["check", ".", "--format", "xml"],
        ["rank", ".", "--days", "0"],
        ["rank", ".", "--days", "1.5"],
        ["habits", ".", "--days", "7"],
    ],
)
def test_wrong_usage_leaves_with_code_2(words: list[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(words)


def test_a_missing_fleet_is_refused_in_one_line_without_a_traceback(tmp_path: Path) -> None:
    ran = run("check", tmp_path / "nowhere")
    assert (ran.returncode, ran.stdout) == (1, "")
    assert len(ran.stderr.splitlines()) == 1
    assert "nowhere" in ran.stderr


def test_check_prints_one_row_per_finding_and_counts_what_is_set_aside(fleet: Path) -> None:
    ran = run("check", fleet, "--on", "2031-05-07", "--format", "csv")
    assert (ran.returncode, ran.stderr) == (0, "")
    findings = list(csv.DictReader(io.StringIO(ran.stdout)))
    assert list(findings[0]) == ["log", "rule", "severity", "rows", "first", "what_to_do"]
    (inches,) = [row for row in findings if row["log"] == "readings" and "H02" in row["first"]]
    assert (inches["severity"], inches["rows"]) == ("set-aside", "1")


def test_the_table_format_says_what_it_rests_on_beside_the_table(fleet: Path) -> None:
    ran = run("check", fleet, "--on", "2031-05-07")
    about, caution = ran.stderr.splitlines()
    assert about.startswith("Small fleet, as on 2031-05-07 00:00 (Europe/Lisbon)")
    assert "Rows set aside: 1" in about
    assert caution == CAUTION
    assert CAUTION not in ran.stdout


def test_on_hides_what_was_logged_later(fleet: Path) -> None:
    ran = run("check", fleet, "--on", "2031-05-06", "--format", "json")
    assert not [row for row in json.loads(ran.stdout) if "H02" in (row["first"] or "")]


def test_output_takes_the_place_of_the_screen(fleet: Path, tmp_path: Path) -> None:
    output = tmp_path / "found.json"
    output.write_text("old")
    ran = run("check", fleet, "--format", "json", "--output", output)
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "", "")
    assert output.read_text() == run("check", fleet, "--format", "json").stdout
    assert sorted(path.name for path in tmp_path.iterdir()) == ["fleet", "found.json"]


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize(
    ("output", "why"),
    [
        ("fleet/readings/new.csv", "own logs"),
        ("fleet/readings.parquet", "own logs"),
        ("fleet/fleet.toml", "own logs"),
        ("fleet/../fleet/hulls", "own logs"),
        ("nowhere/new.csv", "no folder"),
        ("fleet", "not a plain file"),
    ],
)
def test_a_place_that_must_not_be_written_to_is_refused_and_nothing_changes(
    fleet: Path, tmp_path: Path, output: str, why: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(tmp_path)
    assert main(["check", str(fleet), "--output", str(tmp_path / output)]) == 1
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert why in err
    assert contents(tmp_path) == before


def test_a_device_is_not_taken_for_a_file(fleet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(fleet), "--output", "/dev/null"]) == 1
    assert "not a plain file" in capsys.readouterr().err
    assert Path("/dev/null").is_char_device()


def test_a_refused_command_leaves_the_old_output_alone(tmp_path: Path) -> None:
    output = tmp_path / "last_week.csv"
    output.write_text("kept")
    assert run("check", tmp_path / "nowhere", "--output", output).returncode == 1
    assert contents(tmp_path) == {str(output): b"kept"}


def test_a_reader_that_stops_early_gets_no_traceback(fleet: Path) -> None:
    ran = subprocess.run(
        f"{sys.executable} -m corrosion check {fleet} --format json | true",
        shell=True,
        cwd=HOUSE,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.stderr == ""


def test_demo_refuses_a_folder_that_holds_something(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    ran = run("demo", tmp_path)
    assert (ran.returncode, ran.stdout) == (1, "")
    assert "not empty" in ran.stderr
    assert contents(tmp_path) == {str(tmp_path / "mine.txt"): b"mine"}


def test_demo_writes_a_fleet_that_the_other_commands_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "demo"
    assert main(["demo", str(folder), "--format", "json"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert {row["log"] for row in printed if row["rows"]} >= set(LOGS) - YARD_LOGS
    assert main(["check", str(folder)]) == 0
    assert "imulated" in capsys.readouterr().err


def test_a_log_that_does_not_exist_is_refused_with_those_that_do(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["logs", "reading"]) == 1
    assert "Ask for one of hulls, moorings" in capsys.readouterr().err
