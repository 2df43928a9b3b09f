"""Three people on one server at once: one fit, own choices, and an entry that all of them see."""

import os
import shutil
from pathlib import Path

import pytest

from pages._shared.session import DEMO
from tests.bench.many_people import measured


@pytest.mark.slow
@pytest.mark.skipif(not os.path.exists("/proc/self/status"), reason="memory is read from /proc")
def test_three_people_share_one_fit_and_no_choices_and_see_an_entry(tmp_path: Path) -> None:
    fleet = shutil.copytree(DEMO, tmp_path / "fleet")
    made = measured(fleet, 3, 4, (0.0, 0.2), (0.0, 0.2), ("hull", "fleet", "log_book"))
    assert (len(made.haste_s), len(made.reading_s)) == (12, 12)
    assert made.worked_out == 1
    assert made.others_choices == []
    assert made.missed_entry == 0
    assert made.after_entry == 1
