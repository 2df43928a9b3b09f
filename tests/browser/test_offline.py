"""Once installed, the program wants no network: page and commands without one."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.browser.serving import HOUSE
from tests.fleets import usual_fleet

ALONE = ("unshare", "--net", "--map-root-user")


def can_be_cut_off() -> bool:
    """Tell whether a process may have a network of its own here."""
    if shutil.which("unshare") is None:
        return False
    tried = subprocess.run([*ALONE, "true"], capture_output=True, check=False)
    return tried.returncode == 0


@pytest.mark.skipif(not can_be_cut_off(), reason="no network of its own may be had here")
def test_page_and_commands_work_with_the_network_off(tmp_path: Path) -> None:
    fleet = usual_fleet(3).setting(simulated=True).season("H1", "2031-04-02", 30)
    for number in (1, 2, 3):
        fleet.reading(f"H{number}", "pencil", "2031-04-28 07:00", 8.4)
    run = [*ALONE, sys.executable, "-m", "tests.browser.offline", str(fleet.write(tmp_path / "f"))]
    done = subprocess.run(run, cwd=HOUSE, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "s after the start of the server" in done.stdout
