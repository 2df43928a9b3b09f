"""Measure and print ratios: `python -m tests.bench [fit] [rank] [rerun] [exposures] [files]`.

`growth`, `one_more`, `pages`, `spread` and `wide_plan`, which take minutes, run where they are
named: fleets of 40 to 10,000 hulls step by step, the next forecast after one more reading, each
page, the first with workers, and a plan for 1,000.

Each line holds this project beside something of the same kind, measured in the same run, so that
the ratio says the same on a fast machine and on a slow one. Nothing here fails: tests that time
things fail when the machine is busy. Set OMP_NUM_THREADS=1 for steadier numbers.
"""

import importlib
import sys

from tests.bench.clock import Measured, as_table

BENCHES = ("fit", "rank", "rerun", "exposures", "files")
LONG = ("growth", "one_more", "pages", "spread", "wide_plan")


def main(wanted: list[str]) -> int:
    unknown = set(wanted) - {*BENCHES, *LONG}
    if unknown:
        print(f"no such bench: {', '.join(sorted(unknown))}; one of {', '.join((*BENCHES, *LONG))}")
        return 2
    lines: list[Measured] = []
    for name in wanted or BENCHES:
        if name not in LONG:
            lines += importlib.import_module(f"tests.bench.{name}").measure()
    if lines:
        print(as_table(lines))
    for name in LONG:
        if name in wanted:
            importlib.import_module(f"tests.bench.{name}").main([])
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.bench", main))
