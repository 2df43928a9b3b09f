"""Many processes at one log, and processes that are killed: every row there once, always readable.

These are real processes and real kills; the law is the program's own promise.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from corrosion.records.logbook import read_fleet
from corrosion.records.logbook.compacting import compact
from tests.fleets import usual_fleet
from tests.storage.nursery import ROWS_EACH, WRITERS

HOUSE = Path(__file__).parents[2]
KILLS = 80

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system"),
]


def nursery(*words: object) -> None:
    command = [sys.executable, "-m", "tests.storage.nursery", *map(str, words)]
    ran = subprocess.run(
        command, cwd=HOUSE, capture_output=True, text=True, check=False, timeout=500
    )
    assert ran.returncode == 0, ran.stderr[-3000:]


def noted(notes: Path, word: str) -> set[str]:
    lines = notes.read_text(encoding="utf-8").splitlines()
    return {line.split()[1] for line in lines if line.startswith(word)}


def test_eight_write_two_read_and_one_joins_and_every_row_is_there_once(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path / "fleet")
    notes = tmp_path / "notes"
    nursery("crowd", folder, notes)
    ids = list(read_fleet(folder).readings["entry_id"])
    assert len(ids) == WRITERS * ROWS_EACH
    assert set(ids) == noted(notes, "kept") == noted(notes, "sent")
    assert len(list((folder / "readings").glob("m-*"))) >= 1, "nothing was joined meanwhile"


def test_killing_at_random_moments_loses_no_confirmed_row(tmp_path: Path) -> None:
    folder = usual_fleet().write(tmp_path / "fleet")
    notes = tmp_path / "notes"
    nursery("killed", folder, notes, KILLS, 1)
    assert noted(notes, "sent") > noted(notes, "kept"), "no kill met an append on its way"
    assert list((folder / "readings").glob("m-*")), "no process lived to join files"
    assert_kept(folder, notes)
    while compact(folder, "readings").joined:
        assert_kept(folder, notes)


def assert_kept(folder: Path, notes: Path) -> None:
    """Confirmed rows are there, each once; beyond them at most those that were on their way."""
    ids = list(read_fleet(folder).readings["entry_id"])
    assert len(ids) == len(set(ids))
    assert noted(notes, "kept") <= set(ids) <= noted(notes, "sent")
