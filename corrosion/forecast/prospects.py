"""What each anode and hull will come to: risk, pull-by, days left, and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
import pandas as pd

from corrosion.common import WHOLE_YEAR_DAYS, Z80, Codes, Floats, Remembered, dates_after_days
from corrosion.exposure import ANODE
from corrosion.forecast.crossing import days_until
from corrosion.forecast.inspection import inspect_by, look_moves_days, look_pays
from corrosion.forecast.protection import protection_of_anodes, protection_of_hulls
from corrosion.forecast.reasons import flags_of_anodes, hours_of, hulls_not_judged, why_risky
from corrosion.forecast.standing import Standing, what_stands
from corrosion.forecast.stops import stops_of_anodes, stops_of_hulls
from corrosion.forecast.unwritten import entries_until
from corrosion.forecast.usage_forecast import Ahead
from corrosion.forecast.wear_paths import Paths
from corrosion.forecast.wear_projection import STATES, hull_chances, in_service, project_wear
from corrosion.life_model import Fit, Paces, compare_paces
from corrosion.records import Checked, alloys_in_place


@dataclass(frozen=True)
class Forecast:
    """The fleet's prospects at one moment.

    Attributes
    ----------
    on : Timestamp, UTC
    days : int, the horizon
    anodes : DataFrame, one row an anode in service, riskiest first
    hulls : DataFrame, one row a hull in service that can be judged, riskiest first
    not_judged : DataFrame, hull_id and reason
    day_grid : ndarray, shape (d,), days ahead
    worn_mean, worn_sd, chance : ndarray, shape (k, d), row-aligned with `anodes`; NaN where an
        anode was never seen
    hull_chance : ndarray, shape (i, d), row-aligned with `hulls`
    sisters : DataFrame, one row a hull, index hull_id, as `corrosion.life_model.Paces.hulls`
    rises : DataFrame, as `corrosion.life_model.Paces.rises`, with hull_id
    """

    on: pd.Timestamp
    days: int
    anodes: pd.DataFrame
    hulls: pd.DataFrame
    not_judged: pd.DataFrame
    day_grid: Floats
    worn_mean: Floats
    worn_sd: Floats
    chance: Floats
    hull_chance: Floats
    sisters: pd.DataFrame
    rises: pd.DataFrame


def forecast_fleet(
    fit: Fit, checked: Checked, ahead: Ahead, days: int = 7, remembered: Remembered | None = None
) -> Forecast:
    """Turn paths of worn share into the tables that people read.

    Parameters
    ----------
    fit : Fit
    checked : Checked
    ahead : Ahead
    days : int, the horizon
    remembered : Remembered, optional
        What the last forecast worked out: what stands of it is not worked out again.

    Returns
    -------
    Forecast
    """
    standing = None
    if remembered is not None:
        standing = remembered.onward("standing", partial(what_stands, fit, ahead))
    path, grid = project_wear(fit, checked, ahead, standing), ahead.days
    at = int(np.searchsorted(grid, days))
    beside = compare_paces(fit, path.lives, hours_of(checked.logbook.on))
    anodes = _with_looks(_anodes(fit, checked, path, beside, grid, at), fit, checked, ahead, path)
    unseen = _never_seen(fit, checked, anodes)
    order = np.lexsort((anodes["position"], anodes["hull_id"], -anodes["risk"]))
    table = pd.concat([anodes.iloc[order], unseen], ignore_index=True) if len(unseen) else (
        anodes.iloc[order].reset_index(drop=True)
    )  # fmt: skip
    hulls, hull_chance = _hulls(fit, checked, ahead, path, anodes, at, standing)
    table, hulls = (_with_entries(rows, fit, checked) for rows in (table, hulls))
    mean, sd, chance = (
        _in_order(rows, order, len(unseen)) for rows in (path.worn, path.worn_sd, path.chance)
    )
    table, hulls = _with_stops(table, hulls, chance[:, 0], hull_chance[:, 0], fit, checked)
    return Forecast(
        checked.logbook.on, days, table, hulls, hulls_not_judged(fit, checked, hulls, anodes), grid,
        mean, sd, chance, hull_chance,
        beside.hulls.set_index(pd.Index(fit.exposure.hull_ids, name="hull_id")),
        beside.rises.assign(hull_id=fit.exposure.hull_ids[beside.rises["hull"]]),
    )  # fmt: skip


def _in_order(rows: Floats, order: Codes, unseen: int) -> Floats:
    """Return rows in another order, and behind them unknown ones for what was never seen."""
    table = np.empty((order.size + unseen, rows.shape[1]))
    np.take(rows, order, axis=0, out=table[: order.size], mode="clip")  # unbuffered
    table[order.size :] = np.nan
    return table


def _with_entries(table: pd.DataFrame, fit: Fit, checked: Checked) -> pd.DataFrame:
    """Add the moment up to which each hull's use is known from entries."""
    exposure = fit.exposure
    until = entries_until(exposure.filling, len(exposure.hull_ids), checked.logbook.on)
    code = exposure.hull_ids.get_indexer(pd.Index(table["hull_id"]))
    return table.assign(entries_until=until.reindex(code).array)


def _with_stops(
    anodes: pd.DataFrame, hulls: pd.DataFrame, now: Floats, hull_now: Floats, fit: Fit,
    checked: Checked,
) -> tuple[pd.DataFrame, pd.DataFrame]:  # fmt: skip
    """Add whether anodes protect, and what stops a hull from being hired out."""
    water = pd.Series(fit.exposure.waters).reindex(anodes["mooring_id"]).set_axis(anodes.index)
    alloys = alloys_in_place(checked.hulls, checked.anode_positions, checked.fittings)
    guard = protection_of_anodes(anodes, checked, water, alloys)
    never = np.isnan(now)
    anodes = anodes.assign(
        not_protecting=guard["not_protecting"].mask(never),
        protection_evidence=guard["protection_evidence"].mask(never, ""),
    )
    anodes = anodes.assign(stop=stops_of_anodes(anodes, now, checked, alloys, water))
    verdicts = protection_of_hulls(anodes, hulls)
    stops = stops_of_hulls(anodes, hulls, hull_now, checked)
    return anodes, pd.concat([hulls, stops, verdicts], axis=1)


def _anodes(
    fit: Fit, checked: Checked, path: Paths, beside: Paces, grid: Floats, at: int
) -> pd.DataFrame:
    place = fit.model.design.steps.lives[path.lives]
    lives = fit.lives.lives.iloc[place].reset_index(names="life")
    last = _last_looks(fit, checked).reindex(lives["life"]).reset_index(drop=True)
    mean, sd, chance = path.worn, path.worn_sd, path.chance
    share = path.clocks / np.maximum(path.clocks.sum(axis=1, keepdims=True), 1e-12)
    table = lives[[*ANODE, "fitted_at"]].assign(
        last_read_at=last["read_at"],
        worn=mean[:, 0],
        worn_then=mean[:, at],
        risk=chance[:, at],
        pull_by=pull_by(checked, chance, grid),
        **{f"days_left_{q}": days_until(chance, grid, q / 100) for q in (10, 50, 90)},
        flag="",
        layout=lives["layout"],
        circuit=lives["circuit"],
        mooring_id=_moorings(fit, path),
        worn_low=mean[:, 0] - Z80 * sd[:, 0],
        worn_high=mean[:, 0] + Z80 * sd[:, 0],
        last_size_mm=last["size_mm"],
        last_worn=last["worn"],
        last_verdict=last["verdict"],
        clock=np.array(STATES, dtype=object)[share.argmax(axis=1)],
        pace=path.pace,
        beside_sisters=beside.pace,
        hull_beside_sisters=beside.hull_pace,
        odd_since=pd.to_datetime(beside.since_h * 3.6e12, unit="ns", utc=True).as_unit("us"),
        by_hull=beside.by_hull,
        idle_log_odds=beside.idle_log_odds,
        pace_flag=np.select([beside.slow, beside.fast], ["not-wearing", "wearing-fast"], ""),
        started=lives["started"],
        new_size_mm=lives["new_size_mm"],
        limit_size_mm=lives["limit_size_mm"],
        wider=path.wider,
        **{f"share_{s}": share[:, i] for i, s in enumerate(STATES)},
    )
    table["flag"] = flags_of_anodes(fit, checked, path, beside, table)
    table["why"] = why_risky(table, checked)
    return table


def _with_looks(
    anodes: pd.DataFrame, fit: Fit, checked: Checked, ahead: Ahead, path: Paths
) -> pd.DataFrame:
    """Add when to look: the fleet's own rule, and whether a look now would pay."""
    due = inspect_by(checked, fit.exposure, ahead, anodes, fit.model.design.hull[path.lives])
    allowance = (anodes["new_size_mm"] - anodes["limit_size_mm"]).to_numpy(float)
    error = fit.results.evaluation.rates.reading_mm / allowance
    moves = look_moves_days(path.mean, path.sd, error, ahead.days)
    pull = days_until(path.chance, ahead.days, checked.logbook.settings.tolerated_risk)
    return anodes.assign(
        inspect_by=due["inspect_by"],
        inspect_rule=due["inspect_rule"],
        look_moves_days=moves.clip(max=float(WHOLE_YEAR_DAYS)),
        look_pays=look_pays(moves, pull),
    )


def _last_looks(fit: Fit, checked: Checked) -> pd.DataFrame:
    """Return the last look of each life, that which began it included."""
    lives = fit.lives.lives
    seen = lives[lives["started"].isin(["first look", "change"])].reset_index(names="life")
    began = seen[["life"]].assign(
        at_h=seen["start_h"],
        worn=seen["start_worn"],
        size_mm=(seen["new_size_mm"] - seen["start_worn"] * seen["allowance_mm"]).round(3),
    )
    told = ["life", "at_h", "worn", "size_mm", "kind", "spent"]
    looks = fit.lives.looks[told].drop_duplicates("life", keep="last")
    verdict = looks["spent"].map({True: "worn", False: "ok"}).where(looks["kind"] == "verdict")
    looks = looks.assign(verdict=verdict, worn=looks["worn"].where(looks["kind"] != "verdict"))
    both = [t for t in (began, looks) if len(t)] or [looks]
    table = pd.concat(both, ignore_index=True).drop_duplicates("life", keep="last")
    table = table.reindex(columns=["life", "at_h", "worn", "size_mm", "verdict"])
    micros = (table["at_h"] * 3.6e9).round().astype("int64")
    table["read_at"] = pd.to_datetime(micros, unit="us", utc=True).astype("datetime64[us, UTC]")
    return table.set_index("life")


def _moorings(fit: Fit, path: Paths) -> np.ndarray:
    last = fit.exposure.berths.drop_duplicates("hull", keep="last").set_index("hull")["mooring"]
    code = last.reindex(fit.model.design.hull[path.lives]).to_numpy(np.intp)
    return np.asarray(fit.exposure.mooring_ids.to_numpy(object)[code])


def pull_by(checked: Checked, chance: Floats, grid: Floats) -> pd.Series:
    """Return the last local date on which the chance is within the fleet's tolerated risk.

    Parameters
    ----------
    checked : Checked
    chance : ndarray, shape (k, d)
    grid : ndarray, shape (d,), days ahead

    Returns
    -------
    Series of dates, shape (k,); the day of the report where the risk is over it already, unknown
    where it stays within it for ten years
    """
    settings, on = checked.logbook.settings, checked.logbook.on
    days = days_until(chance, grid, settings.tolerated_risk)
    zone = settings.timezone
    dates = dates_after_days(on, np.where(days < grid[-1], days, np.nan), zone)
    return pd.Series(dates, dtype=object)


def _never_seen(fit: Fit, checked: Checked, anodes: pd.DataFrame) -> pd.DataFrame:
    """Return the positions of hulls in service that have neither a fitting nor a reading."""
    serving = checked.hulls[checked.hulls["hull_id"].isin(in_service(checked))]
    wanted = serving[["hull_id", "layout"]].merge(checked.anode_positions, on="layout")
    wanted = wanted.drop_duplicates(ANODE)
    seen = pd.MultiIndex.from_frame(anodes[ANODE])
    missing = wanted[~pd.MultiIndex.from_frame(wanted[ANODE]).isin(seen)]
    keep = [*ANODE, "layout", "circuit", "new_size_mm", "limit_size_mm"]
    table = missing[keep].sort_values(ANODE).reindex(columns=anodes.columns)
    table = table.assign(
        flag="unread", why=table["position"] + ": no fitting and no reading on record"
    )
    text_columns = ("flag", "why")  # without an anode in service these columns have no kind yet
    kinds = {c: t for c, t in anodes.dtypes.items() if str(t) != "bool" and c not in text_columns}
    return table.astype(kinds)


def _hulls(
    fit: Fit, checked: Checked, ahead: Ahead, path: Paths, anodes: pd.DataFrame, at: int,
    standing: Standing | None,
) -> tuple[pd.DataFrame, Floats]:  # fmt: skip
    codes = fit.model.design.hull[path.lives]
    wanted, grid = np.unique(codes), ahead.days

    def of_hulls(own: np.ndarray) -> Floats:
        theirs = own[codes]
        return hull_chances(path.rows(theirs), codes[theirs], wanted[own[wanted]])

    if standing is None:
        chance = hull_chances(path, codes, wanted)
    else:
        chance = standing.result("hull chance", wanted, of_hulls)
    worst = anodes.assign(hull=codes).sort_values(
        ["hull", "risk", "worn", "position"], ascending=[True, False, False, True], kind="stable"
    )
    worst = worst.drop_duplicates("hull").reset_index(drop=True)
    table = pd.DataFrame(
        {
            "hull_id": worst["hull_id"],
            "mooring_id": worst["mooring_id"],
            "risk": chance[:, at],
            "worst_position": worst["position"],
            "worn": worst["worn"],
            "pull_by": pull_by(checked, chance, grid),
            "why": worst["why"],
        }
    )
    order = np.lexsort((table["hull_id"], -table["worn"], -table["risk"]))
    table = table.iloc[order].reset_index(drop=True)
    table.insert(0, "rank", np.arange(1, len(table) + 1))
    return table, chance[order]
