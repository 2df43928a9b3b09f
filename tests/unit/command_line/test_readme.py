"""README.md and DEVELOPERS.md say what is so.

Run as a program, this file writes the log dictionary into README.md again.
"""

import re
import shlex
import subprocess
from pathlib import Path

import pytest

from corrosion.command_line.registry import COMMANDS
from corrosion.command_line.run import command_line
from corrosion.records.logs import ENTRY, LOGS, Column

HOUSE = Path(__file__).parents[3]
README = HOUSE / "README.md"
DEVELOPERS = HOUSE / "DEVELOPERS.md"
BEGIN, END = "<!-- log dictionary: begin -->", "<!-- log dictionary: end -->"


def dictionary() -> str:
    """The logs and their columns as Markdown, from the data that the reader of logs uses."""
    parts = []
    for log in LOGS.values():
        entry = " May carry the columns of an entry." if set(ENTRY) <= set(log.columns) else ""
        needed = "Needed. " if log.needed else ""
        head = f"**`{log.name}`**: {needed}One row: {log.row}.{entry}"
        own = [column for column in log if column not in ENTRY]
        lines = ["| column | holds | meaning |", "|---|---|---|", *map(line, own)]
        parts.append("\n".join([head, "", *lines]))
    return "\n\n".join(parts)


def line(column: Column) -> str:
    holds = column.unit or {
        "id": "text",
        "text": "text",
        "word": " / ".join(f"`{word}`" for word in column.words),
        "number": "number",
        "moment": "time",
        "date": "date",
        "flag": "true / false",
    }.get(column.kind, column.kind)
    missing = f" (`{column.if_missing}` when missing)" if column.if_missing else ""
    star = "*" if column.required else ""
    return f"| `{column.name}`{star} | {holds} | {column.meaning}{missing} |"


def split_at_dictionary(text: str) -> tuple[str, str, str]:
    before, _, rest = text.partition(BEGIN + "\n")
    between, _, after = rest.partition(END)
    return before + BEGIN + "\n", between, END + after


def test_the_log_dictionary_of_the_readme_is_the_one_the_reader_of_logs_uses() -> None:
    _, shown, _ = split_at_dictionary(README.read_text(encoding="utf-8"))
    assert shown == dictionary() + "\n", (
        "write it again: PYTHONPATH=. python tests/unit/command_line/test_readme.py"
    )


def blocks(page: Path) -> list[str]:
    """The shell lines in the fenced blocks of a page."""
    found = re.findall(r"^ *```sh\n(.*?)^ *```", page.read_text(encoding="utf-8"), re.M | re.S)
    return [each.strip() for block in found for each in block.splitlines() if each.strip()]


def test_a_fresh_machine_needs_one_command_for_the_dashboard_and_one_for_the_tests() -> None:
    fresh = [each for each in blocks(README) if each.startswith("python3 -m venv")]
    assert len(fresh) == 2
    assert fresh[0].endswith("streamlit run app.py")
    assert fresh[1].endswith("python -m pytest")
    needs = ("-r requirements.txt", "-r tests/requirements.txt")
    assert [need in fresh[0] for need in needs] == [True, False]
    assert [need in fresh[1] for need in needs] == [True, True]


@pytest.mark.parametrize("page", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_command_that_a_page_shows_is_understood(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    shown = re.findall(r"python -m corrosion ([a-z][^`\n]*)", text)
    reader = command_line(COMMANDS)
    for words in shown:
        assert reader.parse_args(shlex.split(words)).command in COMMANDS
    assert shown or page is DEVELOPERS


def test_the_readme_lists_every_command_and_no_other() -> None:
    table = re.findall(r"^\| `([a-z][a-z-]*) [A-Z]", README.read_text(encoding="utf-8"), re.M)
    assert table == [command.name for command in COMMANDS]


@pytest.mark.parametrize("page", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_file_that_a_page_links_to_is_there(page: Path) -> None:
    links = re.findall(r"\]\(([^)#:]+)\)", page.read_text(encoding="utf-8"))
    assert [link for link in links if not (HOUSE / link).exists()] == []


def test_what_has_to_pass_is_the_readmes_own_test_command() -> None:
    script = (HOUSE / ".ci" / "run").read_text(encoding="utf-8")
    pattern = re.search(r"grep -E '([^']*)' README.md", script)
    assert pattern is not None
    found = subprocess.run(
        ["grep", "-E", pattern[1], README], capture_output=True, text=True, check=True
    ).stdout
    assert found.splitlines() == [each for each in blocks(README) if each.endswith("-m pytest")]


if __name__ == "__main__":
    before, _, after = split_at_dictionary(README.read_text(encoding="utf-8"))
    README.write_text(before + dictionary() + "\n" + after, encoding="utf-8")
