"""Studies write down what they print, each in a section of its own."""

from pathlib import Path

import pytest

from corrosion.records.method import VERSION
from tests.results import RESULTS, recorded


def _says(text: str, code: int = 0):
    def main(words: list[str]) -> int:
        print(f"{text} {' '.join(words)}")
        return code

    return main


def test_a_recorded_study_takes_the_place_of_its_last_run_and_of_nothing_else(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "RESULTS.md"
    page.write_text("# Measured\n\nby hand\n", encoding="utf-8")
    for text in ("first", "second"):
        assert recorded("tests.x", _says(text), ["--seeds", "1", "--record", "odd"], page) == 0
    written = page.read_text(encoding="utf-8")
    assert "by hand" in written
    assert "first" not in written
    assert "second --seeds 1\n" in written
    assert f"method {VERSION}, `.venv/bin/python -m tests.x --seeds 1`" in written
    assert "second --seeds 1" in capsys.readouterr().out


def test_a_study_that_failed_or_was_not_asked_to_writes_nothing(tmp_path: Path) -> None:
    page = tmp_path / "RESULTS.md"
    page.write_text("as it was", encoding="utf-8")
    assert recorded("tests.x", _says("a", code=2), ["--record", "odd"], page) == 2
    assert recorded("tests.x", _says("b"), [], page) == 0
    assert page.read_text(encoding="utf-8") == "as it was"


def test_every_section_of_the_results_says_its_date_its_method_and_its_command() -> None:
    text = RESULTS.read_text(encoding="utf-8")
    sections = text.split(": begin -->\n")[1:]
    assert sections
    for section in sections:
        head = section.partition("\n")[0]
        assert "method " in head
        assert "`.venv/bin/python -m tests." in head
