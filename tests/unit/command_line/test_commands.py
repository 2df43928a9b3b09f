"""Commands: what they print, what they refuse, and that a refusal changes nothing."""

import csv
import io
import json
import subprocess
import sys
import tomllib
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from corrosion import CAUTION
from corrosion.command_line import main
from corrosion.command_line.answers import Answer
from corrosion.command_line.printing import as_text, chance_text, formula_safe
from corrosion.command_line.registry import COMMANDS
from corrosion.records.logs import ENTRY, LOGS, YARD_LOGS

HOUSE = Path(__file__).parents[3]
LISBON = ZoneInfo("Europe/Lisbon")

ROWS = pd.DataFrame(
    {
        "hull_id": ["H01", "=1+1", None],
        "risk": [0.123456789012, 1e-9, np.nan],
        "read_at": pd.to_datetime(["2031-07-02T09:30:00Z", None, "2031-01-02T09:30:00Z"]),
        "pull_by": [date(2031, 7, 9), None, date(2031, 1, 9)],
        "hours": [1234.5, 0.04567, np.nan],
        "removed": pd.array([True, False, None], dtype="boolean"),
        "rows": [3, 20, 100],
    }
)


def said(form: str, rows: pd.DataFrame = ROWS, width: int | None = None) -> str:
    return as_text(Answer(rows, zone=LISBON), form, width)


# --- CSV ------------------------------------------------------------------------------------


def test_csv_gives_numbers_in_full_times_in_utc_dates_as_dates_and_nothing_for_unknown() -> None:
    first, _, last = csv.DictReader(io.StringIO(said("csv")))
    assert first == {
        "hull_id": "H01",
        "risk": "0.123456789012",
        "read_at": "2031-07-02T09:30:00Z",
        "pull_by": "2031-07-09",
        "hours": "1234.5",
        "removed": "true",
        "rows": "3",
    }
    assert [last[name] for name in ("hull_id", "risk", "hours", "removed")] == [""] * 4


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", " =x", "\t=x", "\rx"])
def test_text_that_a_spreadsheet_would_run_gets_an_apostrophe(text: str) -> None:
    # which first characters: OWASP, "CSV Injection"
    assert formula_safe(text) == f"'{text}"


def test_negative_numbers_are_no_formulas() -> None:
    assert said("csv", pd.DataFrame({"low": [-0.5]})) == "low\n-0.5\n"


def test_csv_reads_back_to_the_same_risks() -> None:
    risk = np.random.default_rng(5).uniform(0, 1, 50)
    back = pd.read_csv(io.StringIO(said("csv", pd.DataFrame({"risk": risk}))), dtype=str)
    np.testing.assert_array_equal([float(text) for text in back.risk], risk)


# --- JSON -----------------------------------------------------------------------------------


def test_json_gives_records_with_null_for_unknown() -> None:
    first, _, last = json.loads(said("json"))
    assert first["read_at"] == "2031-07-02T09:30:00Z"
    assert first["removed"] is True
    assert last == {
        "hull_id": None,
        "risk": None,
        "read_at": "2031-01-02T09:30:00Z",
        "pull_by": "2031-01-09",
        "hours": None,
        "removed": None,
        "rows": 100,
    }


def test_an_endless_number_is_unknown_in_json_which_has_no_word_for_it() -> None:
    assert json.loads(said("json", pd.DataFrame({"days": [np.inf]}))) == [{"days": None}]


def test_no_rows_are_an_empty_list_and_a_bare_heading() -> None:
    assert json.loads(said("json", ROWS[:0])) == []
    assert said("csv", ROWS[:0]).splitlines() == [",".join(ROWS.columns)]
    assert said("table", ROWS[:0]).splitlines()[0].split() == list(ROWS.columns)


@pytest.mark.parametrize("form", ["table", "json"])
def test_one_object_is_json_in_the_table_format_too(form: str) -> None:
    verdict = {"verdict": "cannot-tell", "share_saved": np.float64("nan"), "hulls": np.int64(4)}
    assert json.loads(as_text(Answer(verdict), form)) == {
        "verdict": "cannot-tell",
        "share_saved": None,
        "hulls": 4,
    }


# --- table ----------------------------------------------------------------------------------


def test_the_table_shows_local_time_rounded_numbers_and_nothing_for_unknown() -> None:
    heading, rule, first, second, last = said("table").splitlines()
    assert heading.split() == list(ROWS.columns)
    assert set(rule) == {"-", " "}
    # Lisbon is one hour ahead of UTC in July
    assert first.split() == ["H01", "0.12", "2031-07-02", "10:30", "2031-07-09", "1234", "yes", "3"]
    assert second.split() == ["=1+1", "<0.001", "0.046", "no", "20"]
    assert last.split() == ["2031-01-02", "09:30", "2031-01-09", "100"]


def test_the_table_shows_only_the_columns_of_the_command() -> None:
    text = as_text(Answer(ROWS, shown=("hull_id", "rows")), "table")
    assert text.splitlines()[0].split() == ["hull_id", "rows"]


@pytest.mark.parametrize(
    ("chance", "text"),
    [
        (1e-12, "<0.001"),
        (0.0042, "0.004"),
        (0.2345, "0.23"),
        (0.987, "0.987"),
        (1 - 1e-9, ">0.999"),
        (np.nan, ""),
    ],
)
def test_a_chance_is_never_shown_as_nothing_or_as_certain(chance: float, text: str) -> None:
    assert chance_text(chance) == text


def test_long_text_is_broken_to_the_width_of_the_terminal_and_stays_in_its_column() -> None:
    why = "mostly engine hours in salt water, and no rinse after the last three returns"
    text = said("table", pd.DataFrame({"hull_id": ["H01"], "worn": [0.5], "why": [why]}), 60)
    lines = text.splitlines()
    assert max(map(len, lines)) <= 60
    assert " ".join(" ".join(lines[2:]).split()) == f"H01 0.500 {why}"
    assert {line.index(line.split()[-1]) >= lines[0].index("why") for line in lines[3:]} == {True}


def test_a_name_cannot_steer_the_terminal() -> None:
    text = said("table", pd.DataFrame({"hull_id": ["H01\x1b[2J\nH02"]}))
    assert "\x1b" not in text
    assert len(text.splitlines()) == 3


# --- the command line -----------------------------------------------------------------------


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
    told = subprocess.run(
        [sys.executable, "-c", probe], cwd=HOUSE, capture_output=True, text=True, check=True
    ).stdout
    assert told.splitlines()[-1] == "[]"
    assert all(command.name in told for command in COMMANDS)


@pytest.mark.parametrize("name", [command.name for command in COMMANDS])
def test_every_command_has_help_and_takes_the_common_options(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit, match="0"):
        main([name, "--help"])
    told = capsys.readouterr().out
    assert all(option in told for option in ("--on", "--format", "--output", "not certify"))


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
    told = run("check", tmp_path / "nowhere")
    assert (told.returncode, told.stdout) == (1, "")
    assert len(told.stderr.splitlines()) == 1
    assert "nowhere" in told.stderr


def test_check_prints_one_row_per_finding_and_counts_what_is_set_aside(fleet: Path) -> None:
    told = run("check", fleet, "--on", "2031-05-07", "--format", "csv")
    assert (told.returncode, told.stderr) == (0, "")
    findings = list(csv.DictReader(io.StringIO(told.stdout)))
    assert list(findings[0]) == ["log", "rule", "severity", "rows", "first", "what_to_do"]
    (inches,) = [row for row in findings if row["log"] == "readings" and "H02" in row["first"]]
    assert (inches["severity"], inches["rows"]) == ("set-aside", "1")


def test_the_table_format_says_what_it_rests_on_beside_the_table(fleet: Path) -> None:
    told = run("check", fleet, "--on", "2031-05-07")
    about, caution = told.stderr.splitlines()
    assert about.startswith("Small fleet, as on 2031-05-07 00:00 (Europe/Lisbon)")
    assert "Rows set aside: 1" in about
    assert caution == CAUTION
    assert CAUTION not in told.stdout


def test_on_hides_what_was_logged_later(fleet: Path) -> None:
    told = run("check", fleet, "--on", "2031-05-06", "--format", "json")
    assert not [row for row in json.loads(told.stdout) if "H02" in (row["first"] or "")]


def test_output_takes_the_place_of_the_screen(fleet: Path, tmp_path: Path) -> None:
    place = tmp_path / "found.json"
    place.write_text("old")
    told = run("check", fleet, "--format", "json", "--output", place)
    assert (told.returncode, told.stdout, told.stderr) == (0, "", "")
    assert place.read_text() == run("check", fleet, "--format", "json").stdout
    assert sorted(path.name for path in tmp_path.iterdir()) == ["fleet", "found.json"]


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize(
    ("place", "why"),
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
    fleet: Path, tmp_path: Path, place: str, why: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(tmp_path)
    assert main(["check", str(fleet), "--output", str(tmp_path / place)]) == 1
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert why in err
    assert contents(tmp_path) == before


def test_a_device_is_not_taken_for_a_file(fleet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(fleet), "--output", "/dev/null"]) == 1
    assert "not a plain file" in capsys.readouterr().err
    assert Path("/dev/null").is_char_device()


def test_a_refused_command_leaves_the_old_output_alone(tmp_path: Path) -> None:
    place = tmp_path / "last_week.csv"
    place.write_text("kept")
    assert run("check", tmp_path / "nowhere", "--output", place).returncode == 1
    assert contents(tmp_path) == {str(place): b"kept"}


def test_a_reader_that_stops_early_gets_no_traceback(fleet: Path) -> None:
    told = subprocess.run(
        f"{sys.executable} -m corrosion check {fleet} --format json | true",
        shell=True,
        cwd=HOUSE,
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.stderr == ""


def test_demo_refuses_a_folder_that_holds_something(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    told = run("demo", tmp_path)
    assert (told.returncode, told.stdout) == (1, "")
    assert "not empty" in told.stderr
    assert contents(tmp_path) == {str(tmp_path / "mine.txt"): b"mine"}


@pytest.mark.slow
def test_demo_writes_a_fleet_that_the_other_commands_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "demo"
    assert main(["demo", str(folder), "--format", "json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {row["log"] for row in told if row["rows"]} >= set(LOGS) - YARD_LOGS
    assert main(["check", str(folder)]) == 0
    assert "imulated" in capsys.readouterr().err


# --- the chain, on the demo fleet -----------------------------------------------------------

DEMO = HOUSE / "demo_fleet" / "logs"
THEN = "2031-05-20T12:00:00Z"
EVENT_TIMES = {
    "outings": "ended",
    "flushes": "flushed_at",
    "fittings": "fitted_at",
    "readings": "read_at",
    "water_samples": "sampled_at",
    "berths": "since",
}


def rows_of(capsys: pytest.CaptureFixture[str], *words: str | Path) -> pd.DataFrame:
    assert main([*map(str, words), "--format", "csv"]) == 0
    return pd.read_csv(io.StringIO(capsys.readouterr().out), dtype={"hull_id": str})


def test_rank_gives_every_hull_in_service_once_riskiest_first(
    capsys: pytest.CaptureFixture[str],
) -> None:
    ranked = rows_of(capsys, "rank", DEMO, "--on", THEN)
    columns = ["rank", "hull_id", "mooring_id", "risk", "worst_position", "worn", "pull_by", "why"]
    assert list(ranked)[:8] == columns
    hulls = pd.read_parquet(DEMO / "hulls")
    on = pd.Timestamp(THEN)
    entered, left = (pd.to_datetime(hulls[name], utc=True) for name in ("in_service", "retired"))
    serving = hulls[~(entered > on) & ~(left <= on)]
    assert sorted(ranked.hull_id) == sorted(serving.hull_id)
    judged = ranked.dropna(subset="risk")
    assert judged.risk.is_monotonic_decreasing
    assert list(judged["rank"]) == list(range(1, len(judged) + 1))
    assert judged.risk.between(0, 1, inclusive="neither").all()
    assert ranked.why.notna().all()


def test_a_hulls_risk_lies_between_its_worst_anodes_and_the_sum_of_its_anodes(
    capsys: pytest.CaptureFixture[str],
) -> None:
    # the bounds of Bonferroni and of monotony: they hold whatever the anodes share
    anodes = rows_of(capsys, "anodes", DEMO, "--on", THEN, "--days", "28")
    ranked = rows_of(capsys, "rank", DEMO, "--on", THEN, "--days", "28").set_index("hull_id").risk
    by_hull = anodes.groupby("hull_id").risk
    assert (ranked >= by_hull.max().reindex(ranked.index) - 1e-6).all()
    assert (ranked <= by_hull.sum().reindex(ranked.index) + 1e-6).all()


def test_anodes_and_habits_print_the_columns_they_promise(
    capsys: pytest.CaptureFixture[str],
) -> None:
    anodes = rows_of(capsys, "anodes", DEMO, "--on", THEN)
    assert list(anodes)[:12] == [
        *("hull_id", "position", "fitted_at", "last_read_at", "worn", "worn_then", "risk"),
        *("pull_by", "days_left_10", "days_left_50", "days_left_90", "flag"),
    ]
    assert not anodes.duplicated(["hull_id", "position"]).any()
    flags = {"past-limit", "not-wearing", "wearing-fast", "grew", "unread"}
    assert set(anodes.flag.dropna()) <= flags
    habits = rows_of(capsys, "habits", DEMO, "--on", THEN)
    assert list(habits)[:7] == [
        *("circuit", "water", "state", "hours", "worn_per_100h", "low", "high"),
    ]
    assert ((habits.low <= habits.worn_per_100h) & (habits.worn_per_100h <= habits.high)).all()


def cut_at(folder: Path, then: str) -> Path:
    """The demo fleet's logs as they lay there at a moment, file by file; bookings stay."""
    on = pd.Timestamp(then)
    for file in DEMO.rglob("*.parquet"):
        log, rows = file.parent.name, pq.read_table(file)
        for column in {EVENT_TIMES.get(log), "entered_at"} & set(rows.column_names):
            if log != "bookings":
                rows = rows.filter(~later(rows, column, on))
        if log == "hulls":
            left = rows["retired"].to_pandas().mask(later(rows, "retired", on))
            at = rows.column_names.index("retired")
            rows = rows.set_column(at, "retired", pa.array(left, rows.schema.field(at).type))
        (folder / log).mkdir(parents=True, exist_ok=True)
        pq.write_table(rows, folder / log / file.name)
    (folder / "fleet.toml").write_bytes((DEMO / "fleet.toml").read_bytes())
    return folder


def later(rows: pa.Table, column: str, on: pd.Timestamp) -> np.ndarray:
    """Whether each row's time is later; a time without a zone is the fleet's."""
    zone = tomllib.loads((DEMO / "fleet.toml").read_text())["timezone"]
    times = pd.to_datetime(rows[column].to_pandas())
    times = times.dt.tz_localize(zone) if times.dt.tz is None else times
    return (times > on).to_numpy()


@pytest.mark.parametrize("command", ["check", "rank"])
def test_on_gives_what_logs_cut_at_that_moment_give(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cut = cut_at(tmp_path / "cut", THEN)
    before = rows_of(capsys, command, DEMO, "--on", THEN)
    after = rows_of(capsys, command, cut, "--on", THEN)
    pd.testing.assert_frame_equal(before, after, rtol=1e-9)


def test_the_log_dictionary_is_printed_without_a_fleet(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["logs", "--format", "csv"]) == 0
    table = pd.read_csv(io.StringIO(capsys.readouterr().out), keep_default_na=False)
    for log in LOGS.values():
        names = table.loc[table["log"] == log.name, "column"].tolist()
        assert [*names, *(c.name for c in ENTRY if c.name in log.names)] == list(log.names)
    assert main(["logs", "readings"]) == 0
    shown = capsys.readouterr().out
    assert "size by caliper" in shown
    assert "flushed_at" not in shown


def test_a_log_that_does_not_exist_is_refused_with_those_that_do(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["logs", "reading"]) == 1
    assert "Ask for one of hulls, moorings" in capsys.readouterr().err
