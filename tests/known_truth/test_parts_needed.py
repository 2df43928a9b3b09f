"""Parts on simulated fleets: as many are needed as was said, in the share of ranges promised."""

from pathlib import Path

import pandas as pd
import pytest

from tests.known_truth.parts_needed import judged, summary

FLEETS = [("standard", 1), ("standard", 2), ("gamma", 1), ("confounded", 1)]


@pytest.mark.slow
def test_ranges_of_parts_hold_as_often_as_they_promise(tmp_path: Path) -> None:
    tables = [judged(kind, seed, tmp_path / f"{kind}{seed}") for kind, seed in FLEETS]
    table = pd.concat(tables, ignore_index=True)
    inside = table["took"].between(table["low"], table["high"])
    # whole numbers: a range from the 10 to the 90 % point holds 80 % at least, and more of few
    assert 0.75 <= inside.mean() <= 0.97
    assert table["likely"].sum() == pytest.approx(table["took"].sum(), rel=0.15)


def test_the_summary_counts_what_fell_on_either_side_of_the_range() -> None:
    rows = [("k", 1, 4, took, 2, 3, 5) for took in (1, 3, 4, 9)]
    table = pd.DataFrame(rows, columns=["kind", "seed", "weeks", "took", "low", "likely", "high"])
    (row,) = summary(table).to_dict("records")
    assert (row["fleets"], row["parts"], row["took"], row["said"]) == ("1", "4", 17, 12)
    assert (row["inside"], row["fewer"], row["more"]) == (0.5, 0.25, 0.25)
