"""Are odd anodes called out, and sound ones left alone? `python -m tests.known_truth.odd --help`.

Fleets with hulls, berths or anodes that stray are drawn, and the program's flags are asked for
every three weeks. A stray counts as told in time when it is flagged at the first date on which each
of its anodes that are judged has had so many looks since the straying began (three for what wears
too fast, two for what does not wear). Every flag on a hull or anode that does not stray is false.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import pandas as pd

    from tests.known_truth.simulator import TrueFleet
    from tests.known_truth.simulator.strays import Stray

KINDS = ("hot_hulls", "hot_later", "unbonded", "unbonded_later", "standard")
EVERY_DAYS, FIRST_DAY = 21, 42
LOOKS = {"hot-hull": 3, "unbonded": 2, "painted": 2, "hot-berth": 3}
TELLING = 0.15  # share of the allowance that a sound anode would have lost by then
FLAG = {
    "hot-hull": "wearing-fast",
    "hot-berth": "wearing-fast",
    "unbonded": "not-wearing",
    "painted": "not-wearing",
}


@dataclass(frozen=True)
class Told:
    """What became of one fleet: its strays, one row each; its false flags, one row a first call."""

    strays: pd.DataFrame
    false: pd.DataFrame
    months: float


def ask(fleet: TrueFleet, every_days: int = EVERY_DAYS, least_chance: float | None = None) -> Told:
    """Ask for the flags all along, and set them beside the truth.

    With `least_chance`, what does not wear is told by its chance of not protecting instead.
    """
    import pandas as pd

    from corrosion.forecast.appraisal import appraise
    from tests.known_truth.simulator import write

    tables = []
    with tempfile.TemporaryDirectory() as folder:
        logs = write(fleet, folder)
        for day in range(FIRST_DAY, fleet.plan.days + 1, every_days):
            on = fleet.start + pd.Timedelta(days=day)
            anodes = appraise(logs, on).forecast.anodes
            if least_chance is not None:
                idle = anodes["not_protecting"] >= least_chance
                anodes["flag"] = anodes["flag"].where(anodes["flag"] != "not-wearing", "")
                anodes["flag"] = anodes["flag"].mask(idle, "not-wearing")
            tables.append(anodes[["hull_id", "position", "flag"]].assign(day=day))
    flags = pd.concat(tables, ignore_index=True)
    months = (fleet.plan.days - FIRST_DAY) / 30 * fleet.plan.hulls / 40
    return Told(_strays(fleet, flags), _false(fleet, flags), months)


def _strays(fleet: TrueFleet, flags: pd.DataFrame) -> pd.DataFrame:
    import pandas as pd

    rows = [_stray(fleet, each, flags) for each in fleet.strays]
    columns = ["kind", "hull_id", "due_day", "in_time", "ever", "late_days"]
    table = pd.DataFrame(rows, columns=columns)
    return table.assign(due_worn=[due_worn(fleet, each) for each in fleet.strays])


def _stray(fleet: TrueFleet, stray: Stray, flags: pd.DataFrame) -> tuple[Any, ...]:
    own = flags[(flags["hull_id"] == stray.hull_id) & (flags["flag"] == FLAG[stray.kind])]
    if stray.position is not None:
        own = own[own["position"] == stray.position]
    due = due_day(fleet, stray)
    dates = sorted(flags["day"].unique())
    date = next((day for day in dates if day >= due), None)
    first = own.loc[own["day"] * 24 >= stray.from_h, "day"].min()
    if date is None:
        return stray.kind, stray.hull_id, due, None, first == first, float("nan")
    return stray.kind, stray.hull_id, due, bool(first <= date), first == first, first - date


def due_day(fleet: TrueFleet, stray: Stray) -> float:
    """Return the day by which the stray's hull was looked at so many times while it strayed."""
    places = {(stray.hull_id, stray.position)} if stray.position else None
    looks = [
        each.read_h / 24
        for each in fleet.all_looks
        if each.hull_id == stray.hull_id
        and (places is None or each.position.position == stray.position)
        and stray.from_h < each.read_h <= 24 * fleet.plan.days
    ]
    days = sorted({round(day) for day in looks})
    return days[LOOKS[stray.kind] - 1] + 1.0 if len(days) >= LOOKS[stray.kind] else float("inf")


def due_worn(fleet: TrueFleet, stray: Stray) -> float:
    """Return the wear that a sound anode would have had by the day due, share of the allowance."""
    import numpy as np

    numbers = {each.hull_id: n for n, each in enumerate(fleet.hulls)}
    line = fleet.timelines[numbers[stray.hull_id]]
    due_h = min(24 * due_day(fleet, stray), 24.0 * fleet.plan.days)
    lives = [
        each
        for each in fleet.lives
        if each.hull_id == stray.hull_id and stray.position in (None, each.position.position)
    ]
    worn = []
    for life in lives:
        begun = max(life.fitted_h, stray.from_h)
        within = (line.bound_h[:-1] >= begun) & (line.bound_h[1:] <= due_h)
        worn.append(float(life.pace * line.circuit_mm(life.position.circuit)[within].sum()))
    return float(np.max(worn)) if worn else 0.0


def _false(fleet: TrueFleet, flags: pd.DataFrame) -> pd.DataFrame:
    """Return flags on what does not stray: the first of each run of dates on which it stands."""
    alarms = flags[flags["flag"].isin(["wearing-fast", "not-wearing"])]
    fast = {s.hull_id for s in fleet.strays if FLAG[s.kind] == "wearing-fast"}
    still = {
        (s.hull_id, s.position) for s in fleet.strays if FLAG[s.kind] == "not-wearing"
    }  # fmt: skip
    wrong = [
        row.hull_id not in fast if row.flag == "wearing-fast"
        else (row.hull_id, row.position) not in still
        for row in alarms.itertuples()
    ]  # fmt: skip
    false = alarms[wrong]
    keys = ["flag", "hull_id"]
    by_hull = false.drop_duplicates([*keys, "day"]).sort_values([*keys, "day"])
    gap = by_hull.groupby(keys)["day"].diff()
    return by_hull[gap.isna() | (gap > EVERY_DAYS * 2)]


def study(kind: str, seeds: Sequence[int], least_chance: float | None = None) -> pd.DataFrame:
    """Return one row a kind of stray and flag: told in time, ever, and false ones a month."""
    import pandas as pd

    from tests.known_truth.scores import exact_interval
    from tests.known_truth.simulator import simulate

    exams = []
    for seed in seeds:
        exams.append(ask(simulate(kind, seed), least_chance=least_chance))
        print(f"{kind} {seed}", file=sys.stderr, flush=True)
    strays = pd.concat([each.strays for each in exams], ignore_index=True)
    judged = strays[strays["in_time"].notna()]
    hits, strays_due = int(judged["in_time"].sum()), len(judged)
    low, high = exact_interval(hits, strays_due)
    months = sum(each.months for each in exams)
    telling = judged[judged["due_worn"] >= TELLING]
    false = pd.concat([each.false for each in exams])["flag"].value_counts()
    return pd.DataFrame(
        {
            "kind": [kind],
            "fleets": [len(exams)],
            "strays": [strays_due],
            "told in time": [hits],
            "95 %": ["" if not strays_due else f"{low:.2f} to {high:.2f}"],
            f"where {TELLING} was due": [f"{int(telling['in_time'].sum())} of {len(telling)}"],
            "a date later": [int((judged["late_days"] <= EVERY_DAYS).sum())],
            "ever": [int(strays["ever"].sum())],
            "fleet-months": [round(months, 1)],
            "false fast": [int(false.get("wearing-fast", 0))],
            "false still": [int(false.get("not-wearing", 0))],
            "false a month": [round(float(false.sum()) / months, 3)],
        }
    )


def main(words: Sequence[str] | None = None) -> int:
    """Run the study that the command line asks for."""
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.odd")
    options.add_argument("--kinds", nargs="+", default=list(KINDS), metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=[1, 2])
    options.add_argument(
        "--least-chance", type=float, metavar="P",
        help="tell what does not wear by its chance of not protecting, at least so much",
    )  # fmt: skip
    arguments = options.parse_args(words)
    for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
        os.environ.setdefault(threads, "1")
    import pandas as pd

    from tests.known_truth.exam import markdown

    print(
        markdown(
            pd.concat(
                [study(kind, arguments.seeds, arguments.least_chance) for kind in arguments.kinds]
            )
        )
    )
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.odd", main))
