"""Read a file apart, within bounds; its content comes in, its cells go out.

`python -m corrosion.records.importing MOST_BYTES MOST_CPU_S NAME SHEET`, an empty SHEET: the first.
"""

from __future__ import annotations

import sys

from corrosion.common import LogRefused, run_bounded
from corrosion.records.importing.raw import read_raw
from corrosion.records.importing.reading_apart import REFUSED, as_lines


def main(name: str, sheet: str) -> int:
    """Write the cells of the file as lines, or the sentence that refuses it."""
    try:
        raw = read_raw(sys.stdin.buffer.read(), name, sheet or None)
    except LogRefused as refusal:
        sys.stdout.buffer.write(str(refusal).encode())
        return REFUSED
    for line in as_lines(raw):
        sys.stdout.buffer.write(line.encode() + b"\n")
    return 0


if __name__ == "__main__":
    most_bytes, most_cpu_s, *words = sys.argv[1:]
    sys.exit(run_bounded(lambda: main(*words), int(most_bytes), int(most_cpu_s)))
