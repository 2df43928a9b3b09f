"""Write down what lifelines answers, in an environment of its own (it holds pandas below 3).

python3 -m venv /tmp/reference
/tmp/reference/bin/pip install "lifelines>=0.30,<0.31"
PYTHONPATH=. /tmp/reference/bin/python tests/published/lifelines/record.py
"""

import json
from pathlib import Path

import numpy as np
import pandas as pd

import lifelines
import lifelines.datasets
from lifelines.statistics import multivariate_logrank_test
from tests.published.cases import brackets_apart, late_entries, twice_convicted

HERE = Path(__file__).parent
DATA_SETS = ("gbsg2", "larynx", "psychiatric_patients", "rossi")


def main() -> None:
    """Write the data sets and the figures beside this file."""
    loaded = {name: getattr(lifelines.datasets, f"load_{name}")() for name in DATA_SETS}
    for name, table in loaded.items():
        table.to_csv(HERE / f"{name}.csv", index=False)
    figures = {
        "lifelines": lifelines.__version__,
        "pandas": pd.__version__,
        **larynx(loaded["larynx"]),
        **gbsg2(loaded["gbsg2"]),
        **rossi_twice(loaded["rossi"]),
        "turnbull": turnbull(),
        "late_entry": late_entry(),
    }
    (HERE / "figures.json").write_text(json.dumps(figures, indent=1) + "\n", encoding="utf-8")


def larynx(table: pd.DataFrame) -> dict[str, object]:
    """Kaplan-Meier with its band, and the log-rank test over the four stages."""
    stage = table[["Stage_II", "Stage_III", "Stage_IV"]].to_numpy() @ [1, 2, 3]
    fit = lifelines.KaplanMeierFitter().fit(table["time"], table["death"])
    test = multivariate_logrank_test(table["time"], stage, table["death"])
    band = fit.confidence_interval_
    curve = {
        "at": fit.survival_function_.index.tolist(),
        "sound": fit.survival_function_.iloc[:, 0].tolist(),
        "low": band.iloc[:, 0].tolist(),
        "high": band.iloc[:, 1].tolist(),
    }
    return {
        "larynx_curve": curve,
        "larynx_log_rank": {"chi_square": test.test_statistic, "p_value": test.p_value},
    }


def gbsg2(table: pd.DataFrame) -> dict[str, object]:
    """Proportional hazards with their intervals."""
    frame = table[["time", "cens", "pnodes", "age"]].astype(float)
    return {"gbsg2_hazards": effects(lifelines.CoxPHFitter().fit(frame, "time", "cens"))}


def rossi_twice(table: pd.DataFrame) -> dict[str, object]:
    """Proportional hazards of convicts who each stand there twice, errors clustered."""
    twice = twice_convicted(table)
    fit = lifelines.CoxPHFitter().fit(twice, "week", "arrest", cluster_col="hull")
    return {"rossi_twice_hazards": effects(fit)}


def effects(fit: lifelines.CoxPHFitter) -> dict[str, list[float]]:
    """Return the columns of a fit that are compared."""
    names = {"coef": "estimate", "exp(coef) lower 95%": "low", "p": "p_value"}
    return {ours: fit.summary[theirs].tolist() for theirs, ours in names.items()}


def turnbull() -> dict[str, list[float]]:
    """Return Turnbull's curve of brackets of which none ends where another begins."""
    fit = lifelines.KaplanMeierFitter().fit_interval_censoring(*brackets_apart(), tol=1e-9)
    curve = fit.survival_function_["NPMLE_estimate_upper"]
    return {"at": curve.index.tolist(), "sound": curve.tolist()}


def late_entry() -> dict[str, float]:
    """Return the effect of salt on lives of which half were watched from some exposure on."""
    lives = late_entries(13)
    frame = pd.DataFrame(
        {
            "end": lives["low"],
            "worn": np.isfinite(lives["high"]),
            "entry": lives["entry"],
            "x": (lives["water"] == "salt") * 1.0,
        }
    )
    fit = lifelines.CoxPHFitter().fit(frame, "end", "worn", entry_col="entry")
    return {"salt": float(fit.params_["x"]), "p_value": float(fit.summary["p"]["x"])}


if __name__ == "__main__":
    main()
