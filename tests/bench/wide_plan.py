"""A plan for 1,000 hulls at 12 moorings: `python -m tests.bench.wide_plan [HULLS [MOORINGS]]`.

Prints a line: seconds of the processor and of the clock for the plan alone, pull-outs, and how much
cheaper another plan could be at most.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from tests.bench.wide_fleet import END, write_wide_fleet

HULLS, MOORINGS = 1_000, 12


def main(words: list[str]) -> int:
    """Draw the fleet, plan its weeks, and print how long that took."""
    from corrosion.forecast import appraise
    from corrosion.workshop import make_plan

    numbers = [int(word) for word in words]
    hulls, moorings = (*numbers, *(HULLS, MOORINGS)[len(numbers) :])
    with tempfile.TemporaryDirectory() as folder:
        appraisal = appraise(write_wide_fleet(Path(folder), hulls, moorings=moorings), END)
        begun_s, worked_s = time.perf_counter(), time.process_time()
        plan = make_plan(appraisal)
        clock_s, process_s = time.perf_counter() - begun_s, time.process_time() - worked_s
    sure = "no cheaper plan exists" if plan.proven else f"within {100 * plan.gap:.2f} % of the best"
    print(
        f"{hulls:,} hulls, {moorings} moorings, {plan.weeks} weeks: {process_s:.1f} s of the "
        f"processor, {clock_s:.1f} s of the clock; {len(plan.pulls)} pull-outs, {sure}"
    )
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.bench.wide_plan", main))
