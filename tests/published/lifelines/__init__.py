"""Figures that lifelines gave, recorded, and the open data sets that come with it.

lifelines holds pandas below 3, so it is not installed beside what is tested: its figures were
written down once by `record.py` (its docstring has the command), with the version that gave them.
"""

import json
from pathlib import Path
from typing import Any

import pandas as pd

HERE = Path(__file__).parent
FIGURES: dict[str, Any] = json.loads((HERE / "figures.json").read_text(encoding="utf-8"))


def data_set(name: str) -> pd.DataFrame:
    """Return one of the open data sets: `gbsg2`, `larynx`, `psychiatric_patients` or `rossi`."""
    return pd.read_csv(HERE / f"{name}.csv")
