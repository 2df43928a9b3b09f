"""Parts said beside parts needed: `python -m tests.known_truth.parts_needed --help`."""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import pandas as pd

from corrosion.forecast.appraisal import appraise
from corrosion.workshop.parts import SPANS, count_parts
from tests.known_truth.exam import markdown
from tests.known_truth.simulator import TrueFleet, simulate, write

ON_DAY = 210


def needed(fleet: TrueFleet, on: pd.Timestamp, part: str, hulls: set[str], weeks: int) -> int:
    """Replacements that the fleet's own yard made in the weeks after a moment."""
    from_h = fleet.hours(on)
    return sum(
        life.hull_id in hulls
        and part.startswith(f"{life.position.position} of {life.position.layout},")
        and from_h < life.removed_h <= from_h + 168.0 * weeks
        for life in fleet.lives
    )


def judged(kind: str, seed: int, folder: Path) -> pd.DataFrame:
    """What was said of each part and span beside what it took.

    Returns
    -------
    DataFrame
        One row a part and span: kind, seed, weeks, took, low, likely, high (10, 50, 90 %).
    """
    fleet = simulate(kind, seed)
    on = fleet.start + pd.Timedelta(days=ON_DAY)
    appraisal = appraise(write(fleet, folder), on)
    hulls = set(appraisal.forecast.anodes["hull_id"])
    rows = [
        (
            kind,
            seed,
            weeks,
            needed(fleet, on, row["part_number"], hulls, weeks),
            *(row[f"need_{weeks}{end}"] for end in ("_low", "", "_high")),
        )
        for row in count_parts(appraisal).table.to_dict("records")
        for weeks in SPANS
    ]
    columns = ["kind", "seed", "weeks", "took", "low", "likely", "high"]
    return pd.DataFrame(rows, columns=columns)


def summary(table: pd.DataFrame) -> pd.DataFrame:
    """Sum up by span: how many it took and was said, and how often the range held."""
    table = table.assign(
        inside=table["took"].between(table["low"], table["high"]),
        fewer=table["took"] < table["low"],
        more=table["took"] > table["high"],
    )
    shares = table.groupby("weeks")[["inside", "fewer", "more"]].mean().round(2)
    sums = table.groupby("weeks").agg(
        fleets=("kind", lambda k: len(set(zip(k, table.loc[k.index, "seed"], strict=True)))),
        parts=("took", "size"),
        took=("took", "sum"),
        said=("likely", "sum"),
    )
    return sums.join(shares).reset_index().astype({"weeks": str, "fleets": str, "parts": str})


def main(words: list[str] | None = None) -> int:
    """Draw the fleets asked for, and print how the ranges held."""
    options = argparse.ArgumentParser(prog="python -m tests.known_truth.parts_needed")
    options.add_argument("--kinds", nargs="+", default=["standard"], metavar="KIND")
    options.add_argument("--seeds", nargs="+", type=int, default=[1, 2, 3])
    arguments = options.parse_args(words)
    with tempfile.TemporaryDirectory() as folder:
        tables = [
            judged(kind, seed, Path(folder) / f"{kind}{seed}")
            for kind in arguments.kinds
            for seed in arguments.seeds
        ]
    print(markdown(summary(pd.concat(tables, ignore_index=True))))
    return 0


if __name__ == "__main__":
    from tests.results import recorded

    sys.exit(recorded("tests.known_truth.parts_needed", main))
