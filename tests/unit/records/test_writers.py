"""Nothing is written into a fleet by somebody who may not: every writing function, one by one."""

import ast
import shutil
from collections.abc import Callable, Iterator
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from corrosion.common import Refusal
from corrosion.data_entry import KINDS, make_folder, write_draft
from corrosion.data_entry.drafts import Draft, Row
from corrosion.forecast import Appraisal, appraise
from corrosion.records import (
    LOGS,
    Role,
    Writer,
    append,
    append_all,
    import_rows,
    operator,
    propose,
    read_fleet,
    role_to_write,
    write_settings,
)
from corrosion.reports import plan_week
from corrosion.workshop import Plan, decide, decide_as_previewed, issue_plan, preview_decision
from tests.fleets import usual_fleet
from tests.unit.records.appended import everything_in, look

HOUSE = Path(__file__).parents[3]
NOW = pd.Timestamp("2031-06-01T08:00Z")
LOOKS = b"hull_id,position,read_at,size_mm\nH1,pencil,2031-05-09 10:00,8.1\nH9,,,\n"

# what changes a file or a folder, by the name that is called
CHANGES_FILES = frozenset(
    (
        *("write_text", "write_bytes", "mkdir", "makedirs", "unlink", "rmdir", "rmtree", "touch"),
        *("copytree", "copy2", "copyfile", "symlink_to", "hardlink_to", "truncate"),
        *("write_whole", "put_in_place", "write_beside", "to_parquet", "to_csv"),
        *("to_excel", "write_table", "write_to_dataset", "ParquetWriter"),
    )
)
# functions that change files without asking a Writer, each with the reason
ASKS_NOBODY = {
    "corrosion/common/whole_file.py:write_whole": "the tool itself; whoever calls it is held here",
    "corrosion/records/logbook/storing.py": "the tools of appending, which asks",
    "corrosion/records/logbook/seals.py": "the tools of appending, which asks",
    "corrosion/records/logbook/stamping.py": "the tools of appending, which asks",
    "corrosion/records/logbook/heads.py": "the tools of appending, which asks",
    "corrosion/records/logbook/compacting.py": "joins files, rows stay; after an append that asked",
    "corrosion/records/logbook/appending.py:_named": "after `_checked`, which asks",
    "corrosion/records/settings/writing.py:_kept": "in `write_settings`, which asks",
    "corrosion/records/export/writing.py:_write": "a new place outside the logs, by command",
    "corrosion/forecast/backtest/": "what was worked out, kept in the account's own cache folder",
    "corrosion/command_line/": "sheets and answers where the operator says, never among the logs",
    "corrosion/spread/addresses.py:fetch_the_rest": "a temporary folder, gone with the answer",
    "corrosion/workshop/plan/silent_solver.py:nothing_printed": "the system's bin",
    "pages/_shared/practice.py": "a copy of the demo for one visitor, in a temporary folder",
}


def functions(root: str) -> Iterator[tuple[str, ast.FunctionDef]]:
    for path in sorted((HOUSE / root).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef):
                yield f"{path.relative_to(HOUSE)}:{node.name}", node


def called(node: ast.AST) -> Iterator[ast.Call]:
    return (each for each in ast.walk(node) if isinstance(each, ast.Call))


def name_of(call: ast.Call) -> str:
    return getattr(call.func, "id", getattr(call.func, "attr", ""))


def opens_to_write(call: ast.Call) -> bool:
    texts = [a.value for a in call.args if isinstance(a, ast.Constant) and isinstance(a.value, str)]
    return name_of(call) == "open" and any(t[:1] in "wax" and len(t) < 4 for t in texts)


def replaces_a_file(call: ast.Call) -> bool:
    """A path's `replace` takes one thing, a text's two, a column's `rename` a text as it stands."""
    return (
        isinstance(call.func, ast.Attribute)
        and call.func.attr in ("replace", "rename")
        and len(call.args) == 1
        and not call.keywords
        and not isinstance(call.args[0], ast.Constant)
    )


def takes_a_writer(node: ast.FunctionDef) -> bool:
    arguments = [*node.args.args, *node.args.kwonlyargs]
    return any(ast.unparse(a.annotation) == "Writer" for a in arguments if a.annotation)


def writing() -> dict[str, ast.FunctionDef]:
    return {
        where: node
        for root in ("corrosion", "pages")
        for where, node in functions(root)
        if any(
            name_of(c) in CHANGES_FILES or opens_to_write(c) or replaces_a_file(c)
            for c in called(node)
        )
    }


def test_whatever_changes_a_file_takes_a_writer_or_stands_here_with_its_reason() -> None:
    nobody_asked = {
        where
        for where, node in writing().items()
        if not takes_a_writer(node) and not any(where.startswith(known) for known in ASKS_NOBODY)
    }
    assert nobody_asked == set()


def test_every_reason_is_of_a_function_that_changes_a_file() -> None:
    places = writing()
    idle = {known for known in ASKS_NOBODY if not any(p.startswith(known) for p in places)}
    assert idle == set()


def writers_by_name() -> dict[str, str]:
    """Every function of the core that takes a Writer, by name, and where it stands."""
    return {
        node.name: where
        for where, node in functions("corrosion")
        if takes_a_writer(node) and not node.name.startswith("_")
    }


def test_a_caller_of_a_writing_function_hands_on_the_writer_that_it_was_given() -> None:
    """Nobody in the core makes a Writer of their own, except the commands and `operator`."""
    makers = {
        where
        for where, node in functions("corrosion")
        if any(name_of(c) in ("operator", "Writer") for c in called(node))
    }
    assert makers == {
        "corrosion/records/writers.py:operator",
        "corrosion/command_line/moving.py:import_log",
    }


def test_on_the_pages_a_writer_is_made_of_the_visitor_alone() -> None:
    makers = {
        where
        for where, node in functions("pages")
        if any(name_of(c) in ("operator", "Writer") for c in called(node))
    }
    assert makers == {"pages/_shared/visitors.py:writer"}


Write = Callable[[Path, Writer], Any]


def a_draft(log: str = "readings") -> Draft:
    cells = {"hull_id": "H1", "position": "pencil", "read_at": NOW, "size_mm": 8.1}
    hull = {"hull_id": "H9", "layout": "twin"}
    return Draft((Row(log, cells if log == "readings" else hull),))


@cache
def _planned(folder: Path) -> tuple[Appraisal, Plan]:
    """Appraise and plan a folder once: roles that are too small have left it as it was."""
    appraisal = appraise(folder, NOW)
    return appraisal, plan_week(appraisal).plan


def _previewed(folder: Path, by: Writer) -> Any:
    appraisal, plan = _planned(folder)
    preview = preview_decision(appraisal, plan, "skip", "H1", plan.week)
    return decide_as_previewed(folder, preview, by, reason="a wedding", now=NOW)


def _issued(folder: Path, by: Writer) -> Any:
    appraisal, plan = _planned(folder)
    return issue_plan(folder, plan, appraisal, by, now=NOW)


WRITES: dict[str, tuple[Role, Write]] = {
    "append": (Role.LOG, lambda f, by: append(f, "readings", look(), by, NOW)),
    "append_all": (Role.LOG, lambda f, by: append_all(f, {"readings": look()}, by, NOW)),
    "write_draft": (Role.LOG, lambda f, by: write_draft(f, a_draft(), by, "form", NOW)),
    "decide": (
        Role.MANAGE,
        lambda f, by: decide(f, "pin", "H1", by, day=date(2031, 6, 4), now=NOW),
    ),
    "decide_as_previewed": (Role.MANAGE, _previewed),
    "issue_plan": (Role.MANAGE, _issued),
    "import_rows": (
        Role.MANAGE,
        lambda f, by: import_rows(f, propose(f, "readings", LOOKS, "looks.csv"), by),
    ),
    "write_settings": (
        Role.MANAGE,
        lambda f, by: write_settings(f, 'name = "Another"\n', by, datetime(2031, 6, 1)),
    ),
    "make_folder": (Role.MANAGE, lambda f, by: make_folder(f / "new", by)),
}


def test_every_writing_function_of_the_core_is_tried_here() -> None:
    assert set(writers_by_name()) == set(WRITES)


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    fleet = usual_fleet(3).season("H1", "2031-04-02", 58)
    fleet.reading("H1", "pencil", "2031-05-28 07:00", 7.4)
    return fleet.write(tmp_path_factory.mktemp("logs"))


@pytest.fixture
def folder(logs: Path, tmp_path: Path) -> Path:
    return shutil.copytree(logs, tmp_path / "fleet")


@pytest.mark.parametrize("name", WRITES)
def test_a_role_too_small_writes_nothing_and_the_one_needed_does(folder: Path, name: str) -> None:
    needed, write = WRITES[name]
    before = everything_in(folder)
    for role in (role for role in Role if role < needed):
        with pytest.raises(Refusal, match=f"takes the role {needed.word}, and yours is now"):
            write(folder, Writer("dock", lambda _, role=role: role))  # type: ignore[misc]
        assert everything_in(folder) == before
    write(folder, Writer("dock", lambda _: needed))
    assert everything_in(folder) != before or (folder / "new").is_dir()


def test_the_dock_writes_what_was_done_and_no_register(folder: Path) -> None:
    dock = Writer("dock", lambda _: Role.LOG)
    before = everything_in(folder)
    with pytest.raises(Refusal, match="hulls: writing this takes the role manage"):
        write_draft(folder, a_draft("hulls"), dock, "form", NOW)
    both = {"readings": look(), "hulls": pd.DataFrame([{"hull_id": "H9", "layout": "twin"}])}
    with pytest.raises(Refusal, match="hulls: writing this takes the role manage"):
        append_all(folder, both, dock, NOW)
    assert everything_in(folder) == before


def test_every_form_of_the_log_book_is_for_the_dock() -> None:
    assert {kind.log: role_to_write(kind.log) for kind in KINDS.values()} == {
        kind.log: Role.LOG for kind in KINDS.values()
    }
    assert role_to_write("fittings") == Role.LOG


def test_what_is_not_said_to_be_the_docks_is_the_managers() -> None:
    registers = ("hulls", "moorings", "anode_positions")
    for log in (*registers, "plans", "plan_hires", "plan_changes", "slip_windows"):
        assert log in LOGS
        assert role_to_write(log) == Role.MANAGE
    assert role_to_write("a log that is still to come") == Role.MANAGE


def test_a_role_that_was_taken_away_holds_no_longer(folder: Path) -> None:
    roles = iter((Role.LOG, Role.LOOK))
    by = Writer("dock", lambda _: next(roles))
    append(folder, "readings", look(), by, NOW)
    before = everything_in(folder)
    with pytest.raises(Refusal, match="yours is now look"):
        append(folder, "readings", look(8.0), by, NOW)
    assert everything_in(folder) == before


def test_a_row_carries_the_shift_and_nothing_of_who_signed_in(folder: Path) -> None:
    append(folder, "readings", look(), operator("dock, early shift"), NOW)
    rows = read_fleet(folder, NOW + pd.Timedelta(hours=1)).readings
    assert rows["entered_by"].dropna().tolist() == ["dock, early shift"]
