"""What if these hulls moved there? Anodes a year, pull-by dates, and whether the alloy may go.

The hulls keep what they do (their hours of the last year, their own pace, their layout); the water,
its warmth and the mooring's own pace are those of the new place. Nothing is promised of a hull in a
water that it never lay in: moving re-opens its forecast, and asks for a look.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from corrosion.chemistry import advise
from corrosion.common import HOURS_A_DAY, WHOLE_YEAR_DAYS, Floats, TooLittle, central_slopes
from corrosion.comparison.moorings.equal_use import RATE_STEP, FleetUse, fleet_use, wear_a_day
from corrosion.comparison.moorings.stays import service_of
from corrosion.comparison.moorings.weights import Weights, weights
from corrosion.exposure import build_exposure
from corrosion.forecast import forecast_fleet, use_ahead
from corrosion.life_model import Fit, clustered, pace_effects
from corrosion.records import CIRCUITS

if TYPE_CHECKING:
    from corrosion.forecast import Appraisal
    from corrosion.records import Checked

OUT_PER_ENGINE_HOUR = 1.15
STAYS = ("as now", "afloat", "lifted")


@dataclass(frozen=True)
class Move:
    """What moving some hulls would change.

    Attributes
    ----------
    to : str, the mooring
    hulls : DataFrame, one row a hull: hull_id, mooring_id (now), layout, anodes, before, after
        (anodes worn a year), times (after over before) with times_low and times_high (95 %),
        pull_by_now, pull_by_then, risk_now, risk_then
    total : DataFrame, one row: hulls, before, before_low, before_high, after, after_low, after_high
    alloys : DataFrame, one row an alloy: alloy, positions, verdict, stop, why, caution
    stop : str, why the move is out of the question with these anodes; empty when it is not
    unknown : str, why no pull-by can be said there; empty when it can
    """

    to: str
    hulls: pd.DataFrame
    total: pd.DataFrame
    alloys: pd.DataFrame
    stop: str
    unknown: str


def move_hulls(
    appraisal: Appraisal, hull_ids: Sequence[str], to: str, stays: str = "as now"
) -> Move:
    """Say what moving hulls to another mooring would change.

    Parameters
    ----------
    appraisal : Appraisal
    hull_ids : sequence of str, hulls with a berth
    to : str, mooring where hulls of the fleet have lain
    stays : {'as now', 'afloat', 'lifted'}, how they lie there

    Returns
    -------
    Move
        With magnesium going into salt water there are no numbers, only the stop.

    Raises
    ------
    TooLittle
        If nobody ever lay at that mooring, its water is not known, or no hull is named.
    """
    _possible(appraisal, hull_ids, to)
    exposure = appraisal.exposure
    mooring = int(exposure.mooring_ids.get_indexer(pd.Index([to]))[0])
    alloys = _alloys(appraisal, hull_ids, str(exposure.waters.iloc[mooring]))
    hard = alloys[(alloys["verdict"] == "spent fast") & alloys["stop"]]
    stop = " ".join(
        f"{alloy}: {why}." for alloy, why in zip(hard["alloy"], hard["why"], strict=True)
    )
    if stop:
        empty = pd.DataFrame()
        return Move(to, empty, empty, alloys, stop, "")
    hulls, total = _wear(appraisal, hull_ids, mooring, stays)
    dates, unknown = _pull_bys(appraisal, hull_ids, to, stays)
    return Move(to, hulls.merge(dates, on="hull_id", how="left"), total, alloys, "", unknown)


def _possible(appraisal: Appraisal, hull_ids: Sequence[str], to: str) -> None:
    exposure = appraisal.exposure
    if not len(hull_ids):
        raise TooLittle("hulls: none is chosen. Choose at least one.")
    lay = exposure.mooring_ids[exposure.berths["mooring"].unique().astype(np.intp)]
    if to not in set(lay) or not isinstance(exposure.waters.get(to), str):
        raise TooLittle(
            f"berths, moorings: no hull of the fleet ever lay at {to}, or its water is not known. "
            "Nothing tells what it would wear there."
        )


def _alloys(appraisal: Appraisal, hull_ids: Sequence[str], water: str) -> pd.DataFrame:
    """Ask each alloy that these hulls carry against the new water."""
    lives = appraisal.lives.lives
    in_service = lives[lives["hull_id"].isin(hull_ids) & (lives["ended"] == "in service")]
    rows = []
    for alloy, places in in_service.groupby("alloy"):
        advice = advise(str(alloy), water)
        names = ", ".join(sorted(places["position"].unique()))
        rows.append((str(alloy), names, advice.verdict, advice.stop, advice.why, advice.caution))
    return pd.DataFrame(rows, columns=["alloy", "positions", "verdict", "stop", "why", "caution"])


@dataclass(frozen=True)
class _Asked:
    """One hull: its code, where it lies, its use, and its anodes on each circuit."""

    hull_id: str
    code: int
    mooring: int
    layout: str
    use: FleetUse
    then: FleetUse
    anodes: Floats


def _wear(
    appraisal: Appraisal, hull_ids: Sequence[str], mooring: int, stays: str
) -> tuple[pd.DataFrame, pd.DataFrame]:
    fit = appraisal.life
    rates, doubt = weights(fit), clustered(fit)
    movers = [_asked(appraisal, str(hull_id), stays) for hull_id in hull_ids]
    covariance = rates.covariance(doubt.covariance)
    effect = pace_effects(fit.model.design, fit.results.evaluation)
    pace = np.maximum(1 + np.array([effect.hull[a.code] for a in movers]), 0.05)
    pace_sd = np.sqrt([effect.hull_variance[a.code] for a in movers]) / pace

    def a_year(params: Floats) -> Floats:
        return np.array([_a_year(rates, a, mooring, params) for a in movers])

    base = a_year(rates.mean)
    slope = central_slopes(a_year, rates.mean, RATE_STEP)
    reach = doubt.reach()
    known = base > 0
    relative = slope / np.where(known, base, 1.0)
    apart = relative[:, :, 1] - relative[:, :, 0]
    times_sd = np.sqrt(np.einsum("ph,pq,qh->h", apart, covariance, apart))
    times = base[:, 1] / np.where(known[:, 0], base[:, 0], np.nan)
    table = pd.DataFrame(
        {
            "hull_id": [a.hull_id for a in movers],
            "mooring_id": [str(fit.exposure.mooring_ids[a.mooring]) for a in movers],
            "layout": [a.layout for a in movers],
            "anodes": [int(a.anodes.sum()) for a in movers],
            "before": pace * base[:, 0],
            "after": pace * base[:, 1],
            "times": times,
            "times_low": times * np.exp(-reach * times_sd),
            "times_high": times * np.exp(reach * times_sd),
        }
    )
    return table, _total(pace, pace_sd, base, slope, covariance, reach)


def _total(
    pace: Floats, pace_sd: Floats, base: Floats, slope: Floats, covariance: Floats, reach: float
) -> pd.DataFrame:
    """Return anodes a year of all the hulls together, before and after, with 95 % intervals."""
    row: dict[str, float] = {"hulls": float(pace.size)}
    for at, name in enumerate(("before", "after")):
        worn = pace * base[:, at]
        total = float(worn.sum())
        along = slope[:, :, at] @ pace
        variance = float(along @ covariance @ along) + float(((worn * pace_sd) ** 2).sum())
        sd = np.sqrt(variance) / max(total, 1e-12)
        row |= {
            name: total,
            f"{name}_low": total * float(np.exp(-reach * sd)),
            f"{name}_high": total * float(np.exp(reach * sd)),
        }
    return pd.DataFrame([row]).astype({"hulls": int})


def _a_year(rates: Weights, mover: _Asked, mooring: int, params: Floats) -> list[float]:
    """Return anodes worn a year by the fleet's usual hull: where it lies, and where it would."""
    before = wear_a_day(rates, mover.use, params)[mover.mooring]
    after = wear_a_day(rates, mover.then, params)[mooring]
    return [WHOLE_YEAR_DAYS * float(mover.anodes @ np.nan_to_num(part)) for part in (before, after)]


def _asked(appraisal: Appraisal, hull_id: str, stays: str) -> _Asked:
    fit, exposure = appraisal.life, appraisal.exposure
    codes = exposure.hull_ids.get_indexer(pd.Index([hull_id]))
    code = int(codes[0])
    berths = exposure.berths[exposure.berths["hull"] == code]
    if code < 0 or berths.empty:
        raise TooLittle(f"berths: {hull_id} has no berth on record. Enter where it lies.")
    service = service_of(appraisal.checked, exposure)
    layout = appraisal.checked.hulls.drop_duplicates("hull_id").set_index("hull_id")["layout"]
    year = service.assign(
        begin_h=np.maximum(service["begin_h"], service["end_h"] - WHOLE_YEAR_DAYS * HOURS_A_DAY)
    )
    use = _as_the_fleet_flushes(
        fleet_use(fit, year.loc[[code]], layout), fleet_use(fit, year, layout)
    )
    positions = fit.model.design.positions
    own = positions[positions["layout"] == layout.get(hull_id)]
    anodes = np.array([(own["circuit"] == circuit).sum() for circuit in CIRCUITS], dtype=float)
    last = berths.iloc[-1]
    return _Asked(
        hull_id, code, int(last["mooring"]), str(layout.get(hull_id)),
        use, _lying(use, stays), anodes,
    )  # fmt: skip


def _as_the_fleet_flushes(own: FleetUse, fleet: FleetUse) -> FleetUse:
    """Give a hull that never ran in salty water the salty hours that the fleet's hulls leave."""
    if own.unflushed_h.sum() > 0 or fleet.running_h <= 0:
        return own
    return replace(own, unflushed_h=fleet.unflushed_h * own.running_h / fleet.running_h)


def _lying(use: FleetUse, stays: str) -> FleetUse:
    if stays == "lifted":
        return replace(use, afloat_h=0.0)
    if stays == "afloat":
        return replace(use, afloat_h=max(HOURS_A_DAY - OUT_PER_ENGINE_HOUR * use.running_h, 0.0))
    return use


def _pull_bys(
    appraisal: Appraisal, hull_ids: Sequence[str], to: str, stays: str
) -> tuple[pd.DataFrame, str]:
    """Return pull-by and risk of each hull as it lies, and from now on at the other mooring."""
    days, columns = appraisal.forecast.days, ["hull_id", "pull_by", "risk"]
    now = appraisal.forecast.hulls[columns]
    now = now[now["hull_id"].isin(hull_ids)].rename(
        columns={"pull_by": "pull_by_now", "risk": "risk_now"}
    )
    checked = _with_berths(appraisal.checked, appraisal, hull_ids, to, stays)
    exposure = replace(build_exposure(checked), filling=appraisal.exposure.filling)
    if not exposure.cells.equals(appraisal.exposure.cells):
        unknown = f"Nobody ever lay so at {to}: no pull-by can be said before a look there."
        return now.assign(pull_by_then=None, risk_then=np.nan), unknown
    fit = Fit(appraisal.fit, appraisal.lives, exposure)
    then = forecast_fleet(fit, checked, use_ahead(checked, exposure, days), days).hulls[columns]
    then = then.rename(columns={"pull_by": "pull_by_then", "risk": "risk_then"})
    return now.merge(then, on="hull_id", how="left"), ""


def _with_berths(
    checked: Checked, appraisal: Appraisal, hull_ids: Sequence[str], to: str, stays: str
) -> Checked:
    """Return the logs with the hulls berthed there from the moment of the report on."""
    berths = checked.tables["berths"]
    last = berths.sort_values("since", kind="stable").drop_duplicates("hull_id", keep="last")
    moved = last[last["hull_id"].isin(hull_ids)].assign(mooring_id=to, since=appraisal.logbook.on)
    moved = moved if stays == "as now" else moved.assign(stays=stays)
    table = pd.concat([berths, moved.astype(berths.dtypes.to_dict())], ignore_index=True)
    return replace(checked, tables={**checked.tables, "berths": table})
