"""Parts on simulated fleets: as many are needed as was said, in the share of ranges promised."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.appraisal import appraise
from corrosion.parts import SPANS, Parts, parts
from tests.known_truth.simulator import TrueFleet, simulate, write

FLEETS = [("standard", 1), ("standard", 2), ("standard", 3), ("gamma", 1), ("confounded", 1)]
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
    """What was said of each part and horizon beside what it took."""
    fleet = simulate(kind, seed)
    on = fleet.start + pd.Timedelta(days=ON_DAY)
    appraisal = appraise(write(fleet, folder), on)
    said: Parts = parts(appraisal)
    hulls = set(appraisal.forecast.anodes["hull_id"])
    rows = [
        (
            weeks,
            needed(fleet, on, row["part_number"], hulls, weeks),
            *(row[f"need_{weeks}{end}"] for end in ("_low", "", "_high")),
        )
        for row in said.table.to_dict("records")
        for weeks in SPANS
    ]
    return pd.DataFrame(rows, columns=["weeks", "took", "low", "likely", "high"])


@pytest.mark.slow
def test_ranges_of_parts_hold_as_often_as_they_promise(tmp_path: Path) -> None:
    tables = [judged(kind, seed, tmp_path / f"{kind}{seed}") for kind, seed in FLEETS]
    table = pd.concat(tables, ignore_index=True)
    inside = table["took"].between(table["low"], table["high"])
    # whole numbers: a range from the 10 to the 90 % point holds 80 % at least, and more of few
    assert 0.75 <= inside.mean() <= 0.97
    assert table["likely"].sum() == pytest.approx(table["took"].sum(), rel=0.15)
