"""How alike the moorings' hulls are in what else wears anodes: use, berthing, flushing, layout.

Where a mooring's hulls do what no hull elsewhere does, the comparison with all else held equal
leans on the model alone: an extrapolation, and the page says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from corrosion.comparison.moorings.stays import spells

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal

ASPECTS = {
    "hours_a_week": "use",
    "afloat": "berthing",
    "flushed": "flushing",
    "layout": "layout",
}
BINS = 4
HARDLY = 0.2
"""Overlap under which two groups hardly meet (common practice, no source)."""
PARTLY = 0.6


def hulls_by_mooring(appraisal: Appraisal) -> pd.DataFrame:
    """Return what each hull did while it lay at each mooring.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    DataFrame, one row a hull and mooring: hull_id, mooring_id, layout, days, hours_a_week (engine
    hours), afloat (share of the days), flushed (share of the outings rinsed before the next; NaN
    without outings), outings
    """
    exposure = appraisal.exposure
    lay = spells(appraisal.checked, exposure)
    lay = lay.assign(afloat_days=lay["days"].where(lay["afloat"], 0.0))
    table = lay.groupby(["hull", "mooring"])[["days", "afloat_days"]].sum()
    out = exposure.outings.assign(rinsed=exposure.outings["flushed_h"].notna())
    out = out.groupby(["hull", "mooring"]).agg(
        engine_h=("engine_h", "sum"), outings=("engine_h", "size"), rinsed=("rinsed", "sum")
    )
    table = table.join(out).fillna({"engine_h": 0.0, "outings": 0, "rinsed": 0}).reset_index()
    hulls = appraisal.checked.hulls.drop_duplicates("hull_id").set_index("hull_id")
    ids = exposure.hull_ids.to_numpy(object)[table["hull"].to_numpy(np.intp)]
    outings = table["outings"].where(table["outings"] > 0)
    return pd.DataFrame(
        {
            "hull_id": ids,
            "mooring_id": exposure.mooring_ids.to_numpy(object)[table["mooring"].to_numpy(np.intp)],
            "layout": hulls["layout"].reindex(ids).to_numpy(object),
            "days": table["days"],
            "hours_a_week": table["engine_h"] / table["days"] * 7,
            "afloat": table["afloat_days"] / table["days"],
            "flushed": table["rinsed"] / outings,
            "outings": table["outings"].astype(int),
        }
    )


def likeness(hulls: pd.DataFrame) -> pd.DataFrame:
    """Return how far each mooring's hulls overlap with those of all other moorings.

    The overlap is the part that two histograms have in common, 0 none to 1 all, weighted by days:
    of engine hours a week and of the share rinsed in quarters of the fleet, of days afloat against
    days lifted, and of layouts.

    Parameters
    ----------
    hulls : DataFrame of `hulls_by_mooring`

    Returns
    -------
    DataFrame, one row a mooring: mooring_id, hulls, use, berthing, flushing, layout (overlap 0..1;
    NaN where nothing tells or there is no other mooring), least (the smallest of the four), reading
    ('alike', 'partly alike', 'hardly alike: extrapolation', 'not known')
    """
    classes = pd.DataFrame({aspect: _classes(hulls, aspect) for aspect in ASPECTS})
    rows = []
    for mooring in sorted(hulls["mooring_id"].unique()):
        at_mooring = (hulls["mooring_id"] == mooring).to_numpy(bool)
        overlaps = {
            ASPECTS[aspect]: _overlap(hulls, classes[aspect], at_mooring, aspect)
            for aspect in ASPECTS
        }
        known = [v for v in overlaps.values() if not np.isnan(v)]
        least = min(known, default=float("nan"))
        rows.append(
            {"mooring_id": mooring, "hulls": int(at_mooring.sum()), **overlaps, "least": least}
        )
    table = pd.DataFrame(rows, columns=["mooring_id", "hulls", *ASPECTS.values(), "least"])
    return table.assign(reading=[_reading(v) for v in table["least"]])


def _classes(hulls: pd.DataFrame, aspect: str) -> pd.Series:
    values = hulls[aspect]
    if aspect == "layout":
        return values
    if aspect == "afloat":
        return values > 0.5
    cuts = np.unique(values.quantile(np.linspace(0, 1, BINS + 1)[1:-1]).dropna())
    return pd.Series(np.searchsorted(cuts, values, side="right"), index=values.index).where(
        values.notna()
    )


def _overlap(hulls: pd.DataFrame, classes: pd.Series, at_mooring: np.ndarray, aspect: str) -> float:
    if aspect == "afloat":
        share = [
            np.average(hulls["afloat"][g], weights=hulls["days"][g])
            for g in (at_mooring, ~at_mooring)
            if g.any()
        ]
        return 1 - abs(share[0] - share[1]) if len(share) == 2 else float("nan")
    parts = [_shares(classes[group], hulls["days"][group]) for group in (at_mooring, ~at_mooring)]
    if any(part.empty for part in parts):
        return float("nan")
    both = pd.concat(parts, axis=1).fillna(0.0)
    return float(both.min(axis=1).sum())


def _shares(classes: pd.Series, days: pd.Series) -> pd.Series:
    total = days.groupby(classes).sum()
    return total / total.sum()


def _reading(least: float) -> str:
    if np.isnan(least):
        return "not known"
    if least < HARDLY:
        return "hardly alike: extrapolation"
    return "partly alike" if least < PARTLY else "alike"
