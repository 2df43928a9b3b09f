"""Which file may import which: the table here, the one in DEVELOPERS.md, and the imports agree.

Run as a program, this file writes the table into DEVELOPERS.md again.
"""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2]
DEVELOPERS = HOUSE / "DEVELOPERS.md"
BEGIN, END = "<!-- ladder: begin -->", "<!-- ladder: end -->"
TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "app.py", "corrosion", "pages", "tests", "demo_fleet"),
    "requirements.txt",
}
LIBRARIES = {
    *("numpy", "pandas", "scipy", "statsmodels", "pyarrow", "plotly"),
    *("icalendar", "jinja2", "markupsafe", "segno", "tomlkit"),
    "openpyxl",
}

# file: the files it may import, and `errors` always. A package counts as one file.
LADDER = {
    "errors": "",
    "words": "",
    "whole_file": "",
    "decisions": "",
    "charts": "words",
    "headline": "words",
    "sheets": "",
    "salinity": "",
    "galvanic": "salinity",
    "logs": "",
    "settings": "whole_file",
    "stock": "settings",
    "csv_file": "",
    "logbook": "logs settings",
    "importing": "csv_file logbook logs settings",
    "export": "csv_file logbook logs settings",
    "method": "logbook words",
    "decided": "logbook",
    "checks": "logs logbook",
    "history": "checks logbook logs words",
    "water": "",
    "clocks": "water",
    "rinses": "clocks water",
    "exposure": "checks clocks rinses water",
    "wear": "checks water",
    "turnbull": "",
    "survival": "",
    "weibull": "",
    "hazards": "survival weibull",
    "gamma_wear": "weibull",
    "tracking": "",
    "design": "clocks exposure tracking water wear",
    "bend": "design water",
    "priors": "water",
    "likelihood": "design priors tracking water",
    "looks": "design likelihood tracking water",
    "asked": "bend design water",
    "life": "asked bend clocks design exposure likelihood looks priors tracking water wear",
    "sisters": "design life water",
    "book_rule": "water",
    "filling": "water",
    "use": "book_rule checks clocks exposure filling water",
    "outlook": "bend checks clocks design exposure life likelihood looks use water",
    "inspection": "checks exposure use water",
    "forecast": "checks exposure inspection life outlook sisters use water wear words",
    "attribution": "clocks design exposure life likelihood looks water",
    "habits": "attribution design life likelihood water",
    "clusters": "clocks life likelihood priors water",
    "appraisal": "checks exposure forecast habits life logbook outlook use wear",
    "moorings": "appraisal checks clusters design exposure forecast galvanic hazards life "
    "likelihood looks priors salinity survival turnbull use water wear words",
    "potentials": "galvanic logbook",
    "whatif": "appraisal clocks exposure forecast use",
    "odd": "appraisal galvanic words",
    "record": "checks design exposure life logbook logs method outlook settings use water wear "
    "words",
    "zone_rules": "",
    "calendar_file": "decided settings zone_rules",
    "plan": "appraisal decided forecast outlook settings stock water words",
    "worksheets": "checks sheets stock words",
    "issued": "appraisal logbook method plan",
    "drift": "checks decided plan words",
    "costs": "appraisal water",
    "parts": "appraisal bend checks decisions outlook settings stock use water wear",
    "savings": "appraisal bend decisions design outlook parts plan use water",
    "week_papers": "appraisal calendar_file issued logbook method plan sheets stock words "
    "worksheets",
    "planned_week": "appraisal decided drift issued plan week_papers",
    "dossier": "appraisal clocks exposure headline history water",
    "hull_report": "appraisal dossier method sheets words",
    "desk": "appraisal checks dossier history logbook logs method settings sheets words",
    "flushing": "appraisal bend checks clocks design exposure life likelihood looks rinses "
    "water wear",
    "flushing_papers": "appraisal flushing sheets words",
    "commands": "appraisal checks costs csv_file export flushing hull_report importing logbook "
    "logs method moorings parts plan record savings settings sheets week_papers "
    "whole_file",
    "__main__": "commands",
    "pages": "appraisal charts checks commands costs csv_file decided desk dossier export "
    "flushing flushing_papers galvanic habits headline history hull_report "
    "importing issued logbook logs method moorings odd outlook parts plan "
    "planned_week potentials record savings settings sheets sisters stock week_papers "
    "whatif words",
}
ALONE = {"commands": {"demo_fleet"}, "pages": {"pages", "streamlit", "starlette"}}


def imported(file: Path) -> Iterator[str]:
    """Every module that a file imports, at its top or inside a function."""
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            module = absolute(node, file)
            yield module
            yield from (f"{module}.{alias.name}" for alias in node.names)


def absolute(node: ast.ImportFrom, file: Path) -> str:
    """The full name of a module imported by dots."""
    if not node.level:
        return f"{node.module}"
    package = file.relative_to(HOUSE).parts[: -node.level]
    return ".".join([*package, *([node.module] if node.module else [])])


def sources(part: str) -> list[Path]:
    """The Python files of one entry of the ladder; `pages` has the front door with it."""
    if part == "pages":
        return [HOUSE / "app.py", *sorted((HOUSE / "pages").glob("*.py"))]
    package = HOUSE / "corrosion" / part
    return sorted(package.rglob("*.py")) if package.is_dir() else [package.with_suffix(".py")]


def entry_of(file: Path) -> str:
    return file.relative_to(HOUSE / "corrosion").parts[0].removesuffix(".py")


CORE = sorted((HOUSE / "corrosion").rglob("*.py"))
ENTRIES = sorted({entry_of(file) for file in CORE} - {"__init__"})


def test_every_file_of_the_core_is_on_the_ladder_and_every_rung_is_a_file() -> None:
    assert {*ENTRIES, "pages"} == set(LADDER)


def test_the_ladder_has_no_way_back_up() -> None:
    rungs = list(LADDER)
    for at, file in enumerate(rungs):
        above = set(LADDER[file].split()) & set(rungs[at:])
        assert not above, f"{file} may import {above}, which stand on the same rung or higher"


@pytest.mark.parametrize("part", LADDER)
def test_imports_stay_below_their_own_rung(part: str) -> None:
    allowed = {*LADDER[part].split(), part, "errors"}
    for file in sources(part):
        reached = {
            name.split(".")[1]
            for name in imported(file)
            if name.startswith("corrosion.") and name.split(".")[1] in LADDER
        }
        assert reached <= allowed, f"{file.name} imports {reached - allowed}"


@pytest.mark.parametrize("part", LADDER)
def test_outside_libraries_are_the_named_ones_and_streamlit_is_for_pages_alone(part: str) -> None:
    allowed = {*sys.stdlib_module_names, *LIBRARIES, "corrosion", *ALONE.get(part, ())}
    for file in sources(part):
        reached = {name.split(".")[0] for name in imported(file)}
        assert reached <= allowed, f"{file.name} imports {reached - allowed}"


def test_one_file_of_the_pages_caches() -> None:
    caching = [file.name for file in sources("pages") if "st.cache_" in file.read_text("utf-8")]
    assert caching == ["_ask.py"]


def test_a_page_imports_shared_parts_and_no_other_page() -> None:
    for file in sources("pages"):
        reached = {name for name in imported(file) if name.startswith("pages.")}
        assert not [name for name in reached if not name.startswith("pages._")], file.name


def test_the_demo_fleet_makes_its_truth_without_the_code_under_test() -> None:
    for file in sorted((HOUSE / "demo_fleet").rglob("*.py")):
        assert not any(name.split(".")[0] == "corrosion" for name in imported(file)), file


def said_of(part: str) -> str:
    """What a file says of itself in the first line of its docstring."""
    if part == "pages":
        return "Pages and the front door: they only look."
    said = ast.get_docstring(ast.parse(sources(part)[0].read_text(encoding="utf-8"))) or ""
    return said.partition("\n")[0]


def as_table() -> str:
    lines = ["| file | may import | what it is |", "|---|---|---|"]
    lines += [f"| `{part}` | {LADDER[part]} | {said_of(part)} |" for part in LADDER]
    return "\n".join(lines) + "\n"


def test_the_developers_page_shows_the_same_ladder() -> None:
    table = DEVELOPERS.read_text(encoding="utf-8").partition(BEGIN)[2].partition(END)[0]
    rows = re.findall(r"^\| `(\w+)` \| ([\w ]*?) ?\|", table, flags=re.MULTILINE)
    assert dict(rows) == LADDER, "write it again: PYTHONPATH=. python tests/unit/test_ladder.py"


def test_the_top_level_holds_its_eight_names_and_dotfiles() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=HOUSE, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git copy: nothing tells which files belong to the project")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL


if __name__ == "__main__":
    before, _, rest = DEVELOPERS.read_text(encoding="utf-8").partition(BEGIN)
    after = rest.partition(END)[2]
    DEVELOPERS.write_text(f"{before}{BEGIN}\n{as_table()}{END}{after}", encoding="utf-8")
