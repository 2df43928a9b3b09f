"""A command's process keeps what it frees: the system counts the pages that it gives out."""

import subprocess
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[3]
TWICE = """
import resource
import numpy as np
from corrosion.command_line import keep_freed_memory

def faults():
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    for _ in range(4):
        np.full(8_000_000, 1.0)  # 61 MiB, more than the C library ever keeps of itself
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before

usual = faults()
if not keep_freed_memory():
    raise SystemExit("no such option here")
faults()  # the first of them is new memory
print(usual, faults())
"""


@pytest.mark.skipif(sys.platform != "linux", reason="options of glibc")
def test_memory_that_a_command_frees_is_there_for_its_next_column() -> None:
    ran = subprocess.run([sys.executable, "-c", TWICE], cwd=HOUSE, capture_output=True, text=True)
    if "no such option" in ran.stderr:
        pytest.skip("another C library")
    usual, kept = map(int, ran.stdout.split())
    assert kept * 10 < usual
