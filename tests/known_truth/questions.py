"""Other questions than the forecast: flushing, habits, moorings, and what `check` finds."""

from __future__ import annotations

import io
import json
import tempfile
from pathlib import Path

import pandas as pd

from tests.known_truth.program import TEXT, call
from tests.known_truth.scores import exact_interval
from tests.known_truth.simulator import (
    TrueFleet,
    habit_rates,
    mooring_ratios,
    share_saved,
    simulate,
    write,
)

VERDICTS = ("saves", "no-difference-seen", "cannot-tell")
STATE = ["circuit", "water", "state"]


def put(question: str, kind: str, seed: int) -> pd.DataFrame:
    """Draw one fleet, write it, and put one question to the program; answers beside the truth."""
    fleet = simulate(kind, seed)
    with tempfile.TemporaryDirectory() as folder:
        table = ASKED[question](fleet, write(fleet, folder))
    table.insert(0, "fleet", f"{kind}-{seed}")
    return table


def flushing(fleet: TrueFleet, folder: Path) -> pd.DataFrame:
    """One row: the share that flushing saves, said and true, and whether the interval holds it."""
    answer = json.loads(call(["flushing", *_on(fleet, folder), "--format", "json"]))
    true = share_saved(fleet, fleet.end)
    low, high = answer.get("low"), answer.get("high")
    known = None not in (low, high)
    return pd.DataFrame(
        {
            "verdict": [answer["verdict"]],
            "true": [true],
            "said": pd.array([answer["share_saved"]], "Float64"),
            "low": pd.array([low], "Float64"),
            "high": pd.array([high], "Float64"),
            "inside": pd.array([low - 1e-9 <= true <= high + 1e-9 if known else None], "boolean"),
            "raw": pd.array([answer["raw"]], "Float64"),
            "note": [answer["note"]],
        }
    )


def flushing_summary(table: pd.DataFrame) -> pd.DataFrame:
    """One row a kind: how often the truth was inside, with the exact 95 % binomial interval."""
    rows = []
    for kind, part in table.groupby(table["fleet"].str.rsplit("-", n=1).str[0], sort=False):
        known = part[part["inside"].notna()]
        hits = int(known["inside"].astype(bool).sum())
        low, high = exact_interval(hits, len(known))
        width = (known["high"] - known["low"]).astype(float)
        rows.append(
            {
                "kind": kind,
                "fleets": len(part),
                "inside": f"{hits}/{len(known)}",
                "interval": f"{low:.2f} to {high:.2f}" if len(known) else "",
                "width": f"{width.mean():.3f}, at most {width.max():.3f}" if len(known) else "",
                "said - true": (part["said"].astype(float) - part["true"]).mean(),
                "raw - true": (part["raw"].astype(float) - part["true"]).mean(),
                **{word: int((part["verdict"] == word).sum()) for word in VERDICTS},
            }
        )
    return pd.DataFrame(rows)


def habits(fleet: TrueFleet, folder: Path) -> pd.DataFrame:
    """Wear by operating state, said and true: as happened by the clock, and at 15 °C."""
    answer = _table(["habits", *_on(fleet, folder), "--format", "csv"])
    return habit_rates(fleet, fleet.end).merge(answer, on=STATE, how="left", suffixes=("_true", ""))


def moorings(fleet: TrueFleet, folder: Path) -> pd.DataFrame:
    """Wear at each mooring against the fleet's mean, said and true."""
    answer = _table(["moorings", *_on(fleet, folder), "--format", "csv"])
    true = mooring_ratios(fleet, fleet.end).drop(columns=["water", "hull_days"])
    return true.merge(answer, on="mooring_id", how="left", suffixes=("_true", ""))


def check(fleet: TrueFleet, folder: Path) -> pd.DataFrame:
    """Share of the planted mistakes that the checks object to, and objections to sound rows."""
    from corrosion.records.checks import check_logs
    from corrosion.records.logbook import read_fleet

    objections = check_logs(read_fleet(folder)).objections
    objections = objections[objections["severity"] != "note"]
    return pd.DataFrame([*_recall(fleet, objections), *_false(fleet, objections)])


ASKED = {"flushing": flushing, "habits": habits, "moorings": moorings, "check": check}


def _recall(fleet: TrueFleet, objections: pd.DataFrame) -> list[dict[str, object]]:
    rows = []
    for (log, mistake), planted in fleet.planted.groupby(["log", "mistake"]):
        there = objections.loc[objections["log"] == log, "log_row"]
        hit = planted["row"].isin(there)
        if mistake == "twice":  # one of the pair is enough
            lines = fleet.tables[str(log)].iloc[planted["row"]]
            keys = lines.groupby(list(lines.columns), dropna=False).ngroup().to_numpy()
            hit = pd.Series(hit.to_numpy()).groupby(keys).any()
        rows.append({"log": log, "what": mistake, "rows": len(hit), "share": float(hit.mean())})
    return rows


def _false(fleet: TrueFleet, objections: pd.DataFrame) -> list[dict[str, object]]:
    """Objections to rows that nobody spoilt, by rule."""
    rows = []
    for (log, rule), objected in objections.groupby(["log", "rule"]):
        planted = fleet.planted.loc[fleet.planted["log"] == log, "row"]
        wrong = len(set(objected["log_row"]) - set(planted))
        share = wrong / max(len(fleet.tables[str(log)]), 1)
        rows.append({"log": log, "what": f"sound, {rule}", "rows": wrong, "share": share})
    return rows


def _on(fleet: TrueFleet, folder: Path) -> list[str]:
    return [str(folder), "--on", fleet.end.strftime("%Y-%m-%dT%H:%M:%SZ")]


def _table(words: list[str]) -> pd.DataFrame:
    return pd.read_csv(io.StringIO(call(words)), dtype=TEXT)
