"""Read a file apart: `python -m corrosion.records.importing NAME SHEET`, the file comes in."""

from __future__ import annotations

import os
import sys

from corrosion.common import LogRefused, run_bounded
from corrosion.records.importing.raw import read_raw
from corrosion.records.importing.reading_apart import (
    MOST_CPU_S,
    MOST_MEMORY_BYTES,
    REFUSED,
    as_lines,
)


def main(name: str, sheet: str) -> int:
    """Write the cells of the file as lines, or the sentence that refuses it."""
    if hasattr(os, "nice"):
        os.nice(10)  # pages that somebody looks at go first
    try:
        raw = read_raw(sys.stdin.buffer.read(), name, sheet or None)
    except LogRefused as refusal:
        sys.stdout.buffer.write(str(refusal).encode())
        return REFUSED
    for line in as_lines(raw):
        sys.stdout.buffer.write(line.encode() + b"\n")
    return 0


if __name__ == "__main__":
    sys.exit(run_bounded(lambda: main(*sys.argv[1:3]), MOST_MEMORY_BYTES, MOST_CPU_S))
