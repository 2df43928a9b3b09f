"""A share of going back: `python -m corrosion.forecast.backtest FLEET FILE MOMENT ...`."""

from __future__ import annotations

import gc
import sys
from pathlib import Path

import pandas as pd

from corrosion.common import Refusal, run_bounded
from corrosion.forecast.backtest.forecasts import forecasts_of
from corrosion.forecast.backtest.sharing import MOST_CPU_S, most_bytes


def main(words: list[str]) -> int:
    """Make the forecasts of the moments named, and write them into one file."""
    folder, file, *moments = words
    gc.freeze()  # what the imports left behind need not be gone through again and again
    tables = []
    for moment in moments:
        try:
            tables.append(forecasts_of(Path(folder), pd.Timestamp(moment)))
        except Refusal as refusal:
            sys.stderr.write(f"{moment}: {refusal}\n")
            return 1
        sys.stdout.write(f"{moment}\n")
        sys.stdout.flush()
    some = [table for table in tables if len(table)]
    if some:
        pd.concat(some, ignore_index=True).to_parquet(file)
    return 0


if __name__ == "__main__":
    sys.exit(run_bounded(lambda: main(sys.argv[1:]), most_bytes(), MOST_CPU_S))
