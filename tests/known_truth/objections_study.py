"""How many planted mistakes the checks find, on fleets of many kinds, and what sound rows suffer.

python -m tests.known_truth.objections_study --kinds standard coarse by_eye --seeds 41 42
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd

from corrosion.records.checks import Checked, check_logs
from corrosion.records.logbook import read_fleet
from tests.known_truth.simulator import KINDS, TrueFleet, simulate, write
from tests.known_truth.simulator.mistakes import spoil

LOGS = ("readings", "outings", "flushes", "fittings")


def spoilt(kind: str, seed: int, hulls: int | None = None) -> TrueFleet:
    """Draw a fleet of any kind and plant the mistakes of `messy` in its logs."""
    plan = KINDS[kind] if hulls is None else replace(KINDS[kind], hulls=hulls)
    fleet = simulate(kind, seed, replace(plan, messy=False))
    rng = np.random.default_rng([seed, zlib.crc32(b"objections")])
    readings = fleet.tables["readings"]
    columns = {"removed": readings["removed"].fillna(False).astype(bool)}
    tables, planted = spoil(fleet.tables | {"readings": readings.assign(**columns)}, rng)
    return replace(fleet, tables=tables, planted=planted)


def checked(fleet: TrueFleet) -> Checked:
    with tempfile.TemporaryDirectory() as folder:
        return check_logs(read_fleet(write(fleet, Path(folder) / "fleet")))


def score(fleet: TrueFleet, result: Checked) -> dict[str, object]:
    """Planted and found, by mistake; sound rows objected to, of how many."""
    row: dict[str, object] = {"kind": fleet.kind, "seed": fleet.seed}
    for name, (log, mistake, rows_found) in FOUND.items():
        planted = set(
            fleet.planted.loc[
                (fleet.planted["log"] == log) & (fleet.planted["mistake"] == mistake), "row"
            ]
        )
        row[name] = len(planted)
        row[f"{name}_found"] = len(planted & rows_found(result, log))
    objected = result.objections[result.objections["severity"] != "note"]
    wrong = clean = 0
    for log in LOGS:
        sound = set(result.logbook.tables[log]["log_row"])
        sound -= set(fleet.planted.loc[fleet.planted["log"] == log, "row"])
        clean += len(sound)
        wrong += len(sound & set(objected.loc[objected["log"] == log, "log_row"]))
    return row | {"sound": clean, "objected": wrong}


def _by(*rules: str) -> Callable[[Checked, str], set[int]]:
    def objected_by(result: Checked, log: str) -> set[int]:
        objections = result.objections
        return set(
            objections.loc[(objections["log"] == log) & objections["rule"].isin(rules), "log_row"]
        )

    return objected_by


def _breaking(result: Checked, log: str) -> set[int]:
    rows = result.readings
    return set(rows.loc[rows["breaks_life"], "log_row"])


# one of the two rows of a pair is set aside: pairs are counted by `pairs`
FOUND: dict[str, tuple[str, str, Callable[[Checked, str], set[int]]]] = {
    "inches": ("readings", "inches", _by("inch-for-mm")),
    "hours": ("outings", "negative", _by("engine-hours-negative")),
    "pairs": ("readings", "twice", _by("exact-duplicate", "double-entry")),
    "changes": ("readings", "unrecorded", _breaking),
}


def study(kinds: list[str], seeds: list[int], hulls: int | None = None) -> pd.DataFrame:
    """One row per kind and seed, as `score` gives it."""
    fleets = (spoilt(kind, seed, hulls) for kind in kinds for seed in seeds)
    return pd.DataFrame([score(fleet, checked(fleet)) for fleet in fleets])


def by_kind(table: pd.DataFrame) -> pd.DataFrame:
    """Sum over seeds, with shares."""
    summed = table.drop(columns="seed").groupby("kind", sort=False).sum()
    summed["pairs"] //= 2
    return summed.assign(objected_share=(summed["objected"] / summed["sound"]).round(5))


def main(words: list[str]) -> int:
    """Run the study that the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kinds", nargs="+", default=["standard"])
    parser.add_argument("--seeds", nargs="+", type=int, default=[41])
    parser.add_argument("--hulls", type=int)
    arguments = parser.parse_args(words)
    print(by_kind(study(arguments.kinds, arguments.seeds, arguments.hulls)).to_string())
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.objections_study", main))
