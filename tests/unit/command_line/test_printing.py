"""Answers as tables, CSV and JSON: nothing lost, nothing that a terminal would run."""

import csv
import io
import json
from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from corrosion.command_line import main
from corrosion.command_line.answers import Answer
from corrosion.command_line.printing import as_text, chance_text, formula_safe
from corrosion.records.logs import ENTRY, LOGS

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
