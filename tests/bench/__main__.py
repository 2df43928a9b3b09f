"""Measure and print ratios: `python -m tests.bench [fit] [rank] [rerun] [exposures] [files]`.

Each line holds this project beside something of the same kind, measured in the same run, so that
the ratio says the same on a fast machine and on a slow one. Nothing here fails: tests that time
things fail when the machine is busy. Set OMP_NUM_THREADS=1 for steadier numbers.
"""

import importlib
import sys

from tests.bench.clock import Measured, as_table

BENCHES = ("fit", "rank", "rerun", "exposures", "files")


def main(wanted: list[str]) -> int:
    unknown = set(wanted) - set(BENCHES)
    if unknown:
        print(f"no such bench: {', '.join(sorted(unknown))}; one of {', '.join(BENCHES)}")
        return 2
    lines: list[Measured] = []
    for name in wanted or BENCHES:
        lines += importlib.import_module(f"tests.bench.{name}").measure()
    print(as_table(lines))
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.bench", main))
