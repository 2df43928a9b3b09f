"""A disk that takes no more: it is told plainly, nothing is left and nothing lost."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pyarrow.parquet as pq
import pytest

from corrosion.common.errors import Refusal
from corrosion.records import operator
from corrosion.records.logbook import append, storing
from tests.fleets import FleetLogs, usual_fleet
from tests.unit.records.appended import everything_in, look

HOUSE = Path(__file__).parents[3]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return usual_fleet().setting(timezone="Europe/Lisbon").write(tmp_path / "fleet")


@pytest.mark.parametrize(
    ("number", "why"),
    [
        (errno.ENOSPC, "the disk is full; make room"),
        (errno.EROFS, "it can only be read"),
        (errno.EACCES, "this account may not write there"),
        (errno.EBUSY, "another program holds it open"),
        (errno.EIO, "the system refused"),
    ],
)
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_disk_that_will_not_take_it_is_told_plainly_and_nothing_is_left(
    folder: Path, monkeypatch: pytest.MonkeyPatch, step: str, number: int, why: str
) -> None:
    def broken(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    before = everything_in(folder)
    with monkeypatch.context() as patched:
        patched.setattr(storing.os, step, broken)
        with pytest.raises(Refusal, match=f"readings: nothing was written to .*{why}"):
            append(folder, "readings", look(), operator("dock"))
    assert everything_in(folder) == before
    assert append(folder, "readings", look(), operator("dock")).added == 1


def test_a_file_larger_than_allowed_is_told_plainly_by_a_real_limit(folder: Path) -> None:
    before = everything_in(folder)
    message = told_by_a_process(folder, "resource.setrlimit(resource.RLIMIT_FSIZE, (800, 800))")
    assert "no larger file is allowed here" in message
    assert everything_in(folder) == before


@pytest.fixture
def full_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own of 64 KiB, where this account may mount one."""
    small = tmp_path / "small"
    small.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(small)]
    try:
        made = subprocess.run(mount, capture_output=True, check=False)
    except FileNotFoundError:
        pytest.skip("no mount on this system")
    if made.returncode:
        pytest.skip("this account may not mount a small disk")
    yield small
    subprocess.run(["umount", "--lazy", str(small)], check=True)


def test_a_full_disk_is_told_plainly_and_loses_nothing(full_disk: Path) -> None:
    folder = FleetLogs().mooring("E").write(full_disk / "fleet")
    confirmed = append(folder, "readings", look(entry_id="kept"), operator("dock")).entry_ids
    fill(full_disk / "filler")
    before = everything_in(folder)
    with pytest.raises(Refusal, match=r"the disk is full; make room\. Then send it"):
        append(folder, "readings", look(entry_id="next"), operator("dock"))
    assert everything_in(folder) == before
    (full_disk / "filler").unlink()
    assert append(folder, "readings", look(entry_id="next"), operator("dock")).added == 1
    ids = {name for path in (folder / "readings").iterdir() for name in ids_in(path)}
    assert ids == {*confirmed, "next"}


def fill(filler: Path) -> None:
    """Take all the room that a disk has left."""
    handle = os.open(filler, os.O_WRONLY | os.O_CREAT)
    with suppress(OSError):
        while True:
            os.write(handle, bytes(512))
    os.close(handle)


def ids_in(path: Path) -> list[str]:
    return pq.read_table(path)["entry_id"].to_pylist()


def test_a_folder_that_can_only_be_read_is_told_plainly(folder: Path) -> None:
    if os.geteuid() == 0:
        message = told_by_a_process(folder, "os.setegid(65534); os.seteuid(65534)")
    else:
        folder.chmod(0o500)
        message = told_by_a_process(folder, "pass")
        folder.chmod(0o700)
    assert "this account may not write there" in message


def told_by_a_process(folder: Path, first: str) -> str:
    """What a process of its own is told when it appends after doing something."""
    for path in [*folder.parents, folder]:  # another account has to get there to be refused there
        if path.stat().st_uid == os.geteuid() and not path.is_relative_to(Path.home()):
            path.chmod(path.stat().st_mode | 0o055)
    program = f"""
import os, resource, shutil
from pathlib import Path
import pandas as pd
from corrosion.common.errors import Refusal
from corrosion.records import operator
from corrosion.records.logbook import append
row = {{"hull_id": "H1", "position": "pencil", "read_at": "2031-05-02T14:30Z", "size_mm": 8.1}}
rows = pd.DataFrame([row])
warm = shutil.copytree({str(folder)!r}, {str(folder)!r} + "-warm")
# what is loaded late is loaded before leave is lost
append(Path(warm), "readings", rows, operator("dock"))
{first}
try:
    append(Path({str(folder)!r}), "readings", rows, operator("dock"))
except Refusal as refusal:
    print(refusal)
"""
    command = [sys.executable, "-c", program]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, cwd=HOUSE)
    assert ran.returncode == 0, ran.stderr
    return ran.stdout
