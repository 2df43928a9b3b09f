"""README.md and DEVELOPERS.md say what is so, and no more than a reader takes in."""

import re
import shlex
import subprocess
from pathlib import Path

import pytest

from corrosion.command_line.registry import COMMANDS
from corrosion.command_line.run import command_line
from corrosion.records.logs import LOGS
from tests.house import CORE, wings

HOUSE = Path(__file__).parents[3]
README = HOUSE / "README.md"
DEVELOPERS = HOUSE / "DEVELOPERS.md"
LONGEST = {README: 330, DEVELOPERS: 250}


def blocks(page: Path) -> list[str]:
    """The shell lines in the fenced blocks of a page."""
    matches = re.findall(r"^ *```sh\n(.*?)^ *```", page.read_text(encoding="utf-8"), re.M | re.S)
    return [each.strip() for block in matches for each in block.splitlines() if each.strip()]


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
    commands = subprocess.run(
        ["grep", "-E", pattern[1], README], capture_output=True, text=True, check=True
    ).stdout
    assert commands.splitlines() == [each for each in blocks(README) if each.endswith("-m pytest")]


def test_the_readme_names_every_log() -> None:
    text = README.read_text(encoding="utf-8").partition("# The logs")[2].partition("# The com")[0]
    assert [log for log in LOGS if f"`{log}`" not in text] == []


@pytest.mark.parametrize("page", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_a_page_is_short_enough_to_be_read(page: Path) -> None:
    assert len(page.read_text(encoding="utf-8").splitlines()) <= LONGEST[page]


@pytest.mark.parametrize("page", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_every_path_that_a_page_names_is_there(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    named = re.findall(r"`((?:corrosion|pages|tests|demo_fleet|\.ci)/[\w./]+)`", text)
    assert [path for path in named if not (HOUSE / path).exists()] == []


def test_the_developers_page_names_every_wing_and_every_room() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    for wing in wings():
        row = next(row for row in text.splitlines() if row.startswith(f"| `{wing}` |"))
        if "..." in row:
            continue
        rooms = {path.stem for path in (CORE / wing).iterdir()} - {"__init__", "__pycache__"}
        assert [room for room in sorted(rooms) if f"`{room}`" not in row] == [], wing


def test_the_readme_has_every_caution_that_sheets_and_pages_have() -> None:
    text = README.read_text(encoding="utf-8").partition("# Cautions")[2].lower()
    for words in (
        *(
            "not for hire",
            "carbon monoxide",
            "swimmers",
            "key and lanyard",
            "ventilate",
            "shore lead",
        ),
        *("inverter", "energised docks", "nobody alone", "lifejacket", "overhead lines", "ladders"),
        *("drain plug", "cooling flow", "respirator", "cadmium", "class d", "hazardous waste"),
    ):
        assert words in text, words
