"""What a flushing policy would have saved over the last year, hull by hull, and what it costs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.comparison.flushing.answer import Verdict
from corrosion.comparison.flushing.estimand import build_ledger
from corrosion.comparison.flushing.parts_of_fleet import share_on
from corrosion.comparison.flushing.policy import DAILY, Policy, asked_to_flush
from corrosion.comparison.flushing.within import Rated
from corrosion.exposure import Exposure
from corrosion.records import SALTY

ENDS = ("low", "middle", "high")
COUNTED = ["asked", "added"]


@dataclass(frozen=True)
class Outcome:
    """What a policy would have changed.

    Attributes
    ----------
    policy : Policy
    hulls : DataFrame, one row a hull with salty returns: hull_id, mooring_id, water, possible,
        anodes (on its engine circuit), asked (returns after which the policy asks for a flush),
        added (those that were not flushed, or only later, and where a hose reaches the hull),
        worn, worn_low, worn_high (salty engine-circuit wear of the year, allowances), saved,
        saved_low, saved_high
    """

    policy: Policy
    hulls: pd.DataFrame

    @property
    def total(self) -> pd.Series:
        """Return the sums over hulls."""
        return self.hulls.select_dtypes("number").sum()


def outcome_of_policy(
    verdict: Verdict, policy: Policy, zone: tzinfo, only_possible: bool = True
) -> Outcome:
    """Put a policy to the last year's returns.

    Parameters
    ----------
    verdict : Verdict with rates (`believed`)
    policy : Policy
    zone : tzinfo, the fleet's time zone
    only_possible : bool, add flushes only on hulls that a hose reaches

    Returns
    -------
    Outcome
    """
    if verdict.believed is None:
        raise ValueError("a verdict without rates has no outcome; ask whether it has them first")
    hulls = verdict.by_hull[["hull_id", "mooring_id", "water", "possible"]].copy()
    for name in ENDS:
        wear = _wear(getattr(verdict.believed, name), verdict, policy, zone)
        end = "" if name == "middle" else f"_{name}"
        own = wear.reindex(hulls["hull_id"])
        able = np.ones(len(hulls)) if not only_possible else hulls["possible"].to_numpy(float)
        hulls[f"worn{end}"] = own["worn"].to_numpy(float)
        hulls[f"saved{end}"] = own["saved"].to_numpy(float) * able
        hulls["anodes"] = own["anodes"].to_numpy(float)
    fit = verdict.believed.middle.fit
    counts = _counts(fit.exposure, verdict, policy, zone).reindex(hulls["hull_id"]).fillna(0)
    for name in COUNTED:
        able = hulls["possible"].to_numpy(bool) | (not only_possible)
        hulls[name] = np.where(able, counts[name].to_numpy(), 0).astype(int)
    return Outcome(policy, hulls)


def _wear(rated: Rated, verdict: Verdict, policy: Policy, zone: tzinfo) -> pd.DataFrame:
    """Return each hull's salty engine-circuit wear and what the policy takes away, allowances."""
    ledger = build_ledger(rated.fit, verdict.span, policy, zone)
    rates = rated.fit.model.evaluate(rated.params).rates
    mean = ledger.by_hull(rates)
    anodes = (ledger.pace > 0).sum(axis=1)
    table = pd.DataFrame(
        {
            "worn": (mean["steady"] + mean["wet"]) * anodes,
            "saved": (mean["wet"] - mean["wet_after"]) * anodes,
            "anodes": anodes,
        }
    )
    return table.set_axis(rated.fit.exposure.hull_ids)


def _counts(exposure: Exposure, verdict: Verdict, policy: Policy, zone: tzinfo) -> pd.DataFrame:
    """Return by hull how many flushes the policy asks for, and how many it adds."""
    out, span = exposure.outings, verdict.span
    in_span = (out["stop_h"] > span.since_h) & (out["stop_h"] <= span.until_h)
    asked_for = asked_to_flush(out, policy, exposure.mooring_ids, zone) & in_span
    asked_for &= ~(out["stop_h"] + policy.within_h >= out["next_h"])
    added = asked_for & ~(out["flushed_h"] <= out["stop_h"] + policy.within_h + 1.0)
    hull = exposure.hull_ids.to_numpy(object)[out["hull"].to_numpy(int)]
    table = pd.DataFrame({"hull_id": hull, "asked": asked_for, "added": added})
    return table.groupby("hull_id")[COUNTED].sum()


def by_mooring(verdict: Verdict, zone: tzinfo, smallest: int) -> pd.DataFrame:
    """Return what daily flushing would have saved at each mooring, hulls that can't be flushed in.

    Parameters
    ----------
    verdict : Verdict with rates
    zone : tzinfo, the fleet's time zone
    smallest : int, hulls that a mooring needs to be compared

    Returns
    -------
    DataFrame, one row a mooring: mooring_id, water, hulls, possible (hulls that a hose reaches),
    share_saved, low, high (of that mooring's own salty engine-circuit wear)
    """
    rows = []
    for (mooring, water), part in verdict.by_hull.groupby(["mooring_id", "water"], sort=False):
        if len(part) >= smallest:
            own = share_on(verdict, list(part["hull_id"]), zone)
            counts = len(part), int(part["possible"].sum())
            rows.append((mooring, water, *counts, own.share, own.low, own.high))
    names = ["mooring_id", "water", "hulls", "possible", "share_saved", "low", "high"]
    return pd.DataFrame(rows, columns=names)


def by_position(verdict: Verdict, zone: tzinfo) -> pd.DataFrame:
    """Return what daily flushing would have saved at each engine-circuit position in a year.

    Returns
    -------
    DataFrame, one row a position: layout, position, hulls, saved, low, high (allowances, summed
    over the hulls that a hose reaches)
    """
    if verdict.believed is None:
        raise ValueError("a verdict without rates has nothing by position")
    places = verdict.believed.middle.fit.model.design.positions
    table = places.loc[places["circuit"] == "engine", ["layout", "position"]].copy()
    for name in ENDS:
        saved = _saved_by_position(getattr(verdict.believed, name), verdict, zone)
        table["saved" if name == "middle" else name] = saved.sum(axis=0)[table.index]
        table["hulls"] = (saved > 0).sum(axis=0)[table.index]
    return table[table["hulls"] > 0].reset_index(drop=True)


def _saved_by_position(rated: Rated, verdict: Verdict, zone: tzinfo) -> np.ndarray:
    """Return allowances saved by hull and position, 0 where no hose reaches the hull."""
    ledger = build_ledger(rated.fit, verdict.span, DAILY, zone)
    rates = rated.fit.model.evaluate(rated.params).rates
    mean = ledger.by_hull(rates)
    able = rated.fit.exposure.hull_ids.isin(verdict.by_hull.query("possible")["hull_id"])
    mm = (mean["wet"] - mean["wet_after"]).to_numpy(float) / (
        ledger.pace @ rates.share_per_mm
    ).clip(1e-12)
    own = mm * ledger.pace.sum(axis=1) * able
    return np.asarray((ledger.pace > 0) * own[:, None] * rates.share_per_mm[None, :])


def delays(verdict: Verdict, zone: tzinfo, hours: tuple[float, ...]) -> pd.DataFrame:
    """Return the share saved by daily flushing within so many hours, a row each.

    The shape of the curve is the model's own drying of the passages, at the drying time fitted.
    """
    rows = []
    for within_h in hours:
        total = outcome_of_policy(
            verdict, replace(DAILY, within_h=within_h), zone, only_possible=False
        ).total
        ends = {
            name: total[f"saved{end}"] / total[f"worn{end}"]
            for name, end in (("share_saved", ""), ("low", "_low"), ("high", "_high"))
        }
        rows.append({"within_h": within_h, **ends})
    return pd.DataFrame(rows)


def policies(moorings: list[str]) -> dict[str, Policy]:
    """Return the policies worth laying side by side, by name."""
    named = {
        "last return, salt and brackish": DAILY,
        "last return, salt only": replace(DAILY, waters=("salt",)),
        "every return, salt and brackish": replace(DAILY, every_return=True),
        "last return, within 4 h": replace(DAILY, within_h=4.0),
        "next morning (within 12 h)": replace(DAILY, within_h=12.0),
    }
    named |= {f"last return, {m} only": replace(DAILY, mooring_ids=(m,)) for m in moorings}
    return named


def where_not_worth_it(exposure: Exposure, verdict: Verdict, zone: tzinfo) -> dict[str, int]:
    """Count the returns of the last year after which a flush would bring little or nothing."""
    out, span = exposure.outings, verdict.span
    in_span = (out["stop_h"] > span.since_h) & (out["stop_h"] <= span.until_h)
    salty = out["water"].isin(SALTY)
    back_to_back = salty & (out["next_h"] - out["stop_h"] < 2.0)
    return {
        "fresh": int((in_span & ~salty).sum()),
        "back_to_back": int((in_span & back_to_back).sum()),
        "salty": int((in_span & salty).sum()),
    }
