"""The house stands as it was drawn: wings, faces, layers, the top level."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house import CORE, HOUSE, imported, wing_of, wings

TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "app.py", "corrosion", "pages", "tests", "demo_fleet"),
    "requirements.txt",
}
LIBRARIES = {
    *("numpy", "pandas", "scipy", "statsmodels", "pyarrow", "plotly"),
    *("icalendar", "jinja2", "markupsafe", "segno", "tomlkit"),
    "openpyxl",
}
ALONE = {
    "command_line": {"demo_fleet"},
    "pages": {"pages", "streamlit", "starlette"},
    "spread": {"dask", "distributed", "fsspec"},  # an extra, for who names workers
}
CORE_FILES = sorted(CORE.rglob("*.py"))
PAGE_FILES = [HOUSE / "app.py", *sorted((HOUSE / "pages").rglob("*.py"))]
LONGEST = 300


def test_layers_and_walls_of_the_house_are_kept() -> None:
    linter = Path(sys.executable).with_name("lint-imports")
    run = subprocess.run(
        [str(linter), "--no-cache"], cwd=HOUSE, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout[-3000:]


@pytest.mark.parametrize("wing", wings())
def test_a_wing_is_imported_by_its_face_alone(wing: str) -> None:
    shown = faces(wing)
    for file in [*CORE_FILES, *PAGE_FILES]:
        if wing_of(file) == wing:
            continue
        past = [
            name.split(".")[2:]
            for name in imported(file)
            if f"{name}.".startswith(f"corrosion.{wing}.")
        ]
        assert all(len(name) == 1 and name[0] in shown for name in past), (file, past)


def faces(wing: str) -> set[str]:
    """Return the names that a wing shows."""
    tree = ast.parse((CORE / wing / "__init__.py").read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return {str(name) for name in ast.literal_eval(node.value)}
    return set()


@pytest.mark.parametrize("wing", wings())
def test_a_wing_says_what_it_answers_what_comes_in_and_what_goes_out(wing: str) -> None:
    tree = ast.parse((CORE / wing / "__init__.py").read_text(encoding="utf-8"))
    docstring = ast.get_docstring(tree) or ""
    assert "In:" in docstring
    assert "Out:" in docstring


def test_outside_libraries_are_the_named_ones_and_streamlit_is_for_pages_alone() -> None:
    usual = {*sys.stdlib_module_names, *LIBRARIES, "corrosion"}
    for file in [*CORE_FILES, *PAGE_FILES]:
        allowed = usual | ALONE.get(wing_of(file), set())
        reached = {name.split(".")[0] for name in imported(file)}
        assert reached <= allowed, f"{file} imports {reached - allowed}"


def test_only_the_cached_questions_and_how_they_are_kept_cache() -> None:
    caching = [file.name for file in PAGE_FILES if "st.cache_" in file.read_text("utf-8")]
    # a copy to practise on is no answer, but a thing that goes with the visitor's session
    assert sorted(caching) == ["cached_answers.py", "caching.py", "practice.py"]


def test_a_page_imports_files_behind_the_pages_and_no_other_page() -> None:
    for file in PAGE_FILES:
        reached = {name for name in imported(file) if name.startswith("pages.")}
        assert not [name for name in reached if not name.startswith("pages._")], file.name


def test_files_behind_one_page_serve_that_page_alone() -> None:
    for file in PAGE_FILES:
        behind = {name.split(".")[1] for name in imported(file) if name.startswith("pages._")}
        own = file.parent.name if file.parent.name.startswith("_") else f"_{file.stem}"
        if file.name != "app.py":
            assert behind <= {"_shared", own}, f"{file} imports {behind}"


def test_every_figure_comes_from_the_answer_that_writes_its_names_as_text() -> None:
    shown = 0
    for file in PAGE_FILES:
        for call in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(call, ast.Call) and ast.unparse(call.func) == "widgets.picture":
                assert ast.unparse(call.args[0]).startswith("cached_answers.picture("), file.name
                shown += 1
        assert file.name == "widgets.py" or "plotly_chart(" not in file.read_text("utf-8"), file
    assert shown > 0


def test_no_file_is_longer_than_a_reader_holds_in_mind() -> None:
    files = [*CORE_FILES, *PAGE_FILES, *sorted((HOUSE / "demo_fleet").rglob("*.py"))]
    lines = {file: len(file.read_text("utf-8").splitlines()) for file in files}
    assert not {str(file): n for file, n in lines.items() if n > LONGEST}


def test_the_core_has_at_most_sixteen_entries() -> None:
    assert len([path for path in CORE.iterdir() if path.name != "__pycache__"]) <= 16


def test_the_top_level_holds_its_eight_names_and_dotfiles() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=HOUSE, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git copy: nothing tells which files belong to the project")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL
