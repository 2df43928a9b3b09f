"""Rows of a track record, as an appraisal writes them down for later."""

import pandas as pd

from corrosion.forecast.backtest.spans import HORIZONS_DAYS, KNOTS_DAYS


def said(**cells: object) -> pd.DataFrame:
    row: dict[str, object] = {
        "week": pd.Timestamp("2031-05-05", tz="UTC"), "hull_id": "H1", "position": "pencil",
        "mooring_id": "E", "error": 0.04, "crust": 0.0, "crust_widens": 1.0,
        "age_days": 30.0, "engine_h": 40.0, "last_worn": 0.5,
        "days_left_10": 10.0, "days_left_50": 20.0, "days_left_90": 30.0,
        "last_read_at": pd.Timestamp("2031-05-01", tz="UTC"),
    }  # fmt: skip
    row |= {f"mean_{d}": 0.6 + 0.01 * d for d in KNOTS_DAYS}
    row |= {f"engine_{d}": 2.0 * d for d in KNOTS_DAYS} | {f"use_sd_{d}": 0.2 for d in KNOTS_DAYS}
    row |= {f"used_{d}": 0.008 * d for d in KNOTS_DAYS}
    row |= {f"sd_{d}": 0.05 for d in KNOTS_DAYS} | {f"risk_{d}": 0.2 for d in HORIZONS_DAYS}
    return pd.DataFrame([row | cells])
