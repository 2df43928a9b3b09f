"""A copy that is taken while somebody writes is a fleet, whole up to some moment."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from corrosion.records import append, file_findings, operator, read_fleet
from corrosion.records.logbook import Finding
from tests.fleets import usual_fleet
from tests.storage.nursery import forked, join_for_ever, reading, write_rows

HOUSE = Path(__file__).parents[2]
COPIES, AGAIN = 6, 5
CP = shutil.which("cp")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return usual_fleet(3).write(tmp_path / "fleet")


def command(*words: str) -> subprocess.CompletedProcess[str]:
    run = [sys.executable, "-m", "corrosion", *words]
    return subprocess.run(run, cwd=HOUSE, capture_output=True, text=True, check=False)


def kept_by_then(notes: Path) -> set[str]:
    """Entries of which somebody was told that they are on the disk."""
    lines = notes.read_text(encoding="utf-8").splitlines()
    return {line.removeprefix("kept ") for line in lines if line.startswith("kept ")}


def _odd(copy: Path) -> list[Finding]:
    """What `check` says of a copy's files; a log's head copied after its files tells of the next.

    The page on backup says: check the copy, and copy again where it says that a file is missing.
    """
    return [finding for finding in file_findings(copy) if finding.rule != "clock-put-back"]


@pytest.mark.skipif(CP is None or not hasattr(os, "fork"), reason="no cp, or no fork")
def test_copies_taken_while_others_write_and_join_are_whole(folder: Path, tmp_path: Path) -> None:
    notes = tmp_path / "notes"
    notes.touch()
    work = [forked(lambda: write_rows(folder, notes, "one", 10_000))]
    work.append(forked(lambda: join_for_ever(folder, notes, "two")))
    copies = []
    try:
        while len(kept_by_then(notes)) < 5:
            time.sleep(0.05)
        for number in range(COPIES):
            confirmed, copy = kept_by_then(notes), tmp_path / f"copy-{number}"
            for _ in range(AGAIN):
                subprocess.run([str(CP), "-a", f"{folder}/.", copy], check=False)
                if not _odd(copy):
                    break
            copies.append((copy, confirmed))
    finally:
        for child in work:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
    for copy, confirmed in copies:
        logbook = read_fleet(copy)
        assert confirmed <= set(logbook.readings["entry_id"])
        assert _odd(copy) == []


@pytest.mark.slow
def test_a_restored_copy_has_the_same_marks_passes_check_and_is_written_on(
    folder: Path, tmp_path: Path
) -> None:
    for number in range(3):
        append(folder, "readings", reading(f"r{number}", number), operator("dock"))
    copy, back = tmp_path / "backup", tmp_path / "restored"
    shutil.copytree(folder, copy)
    shutil.rmtree(folder)
    shutil.copytree(copy, back)
    marks = [command("files", str(each), "--format", "json") for each in (copy, back)]
    assert [each.returncode for each in marks] == [0, 0]
    one, other = (
        [{k: v for k, v in row.items() if k != "folder"} for row in json.loads(each.stdout)]
        for each in marks
    )
    assert one == other
    checked = command("check", str(back), "--format", "json")
    assert checked.returncode == 0, checked.stderr
    assert not [f for f in json.loads(checked.stdout) if "file" in f["rule"]]
    append(back, "readings", reading("later", 4), operator("dock"))
    assert {"r0", "r1", "r2", "later"} <= set(read_fleet(back).readings["entry_id"])
    next(iter((back / "readings").glob("r-*.parquet"))).unlink()
    damaged = command("check", str(back), "--format", "json")
    assert [f for f in json.loads(damaged.stdout) if "file" in f["rule"]]
