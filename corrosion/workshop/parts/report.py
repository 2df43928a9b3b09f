"""Parts: what it will take over the coming weeks, what lies there, what to order by when."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from corrosion.common import Floats, TooLittle
from corrosion.forecast import LEAST_CHANCE, Ahead, Appraisal, project_wear, use_ahead
from corrosion.life_model import straightened
from corrosion.records import Settings
from corrosion.workshop.parts.counts import Counted, Course, count_by, count_visits
from corrosion.workshop.parts.habit import Habit, look_gaps, replacing_habit
from corrosion.workshop.parts.orders import Order, order_parts
from corrosion.workshop.stock import COMMON, pieces_on_hand

WEEKS = 26
SPANS = (4, 13, 26)
LOW, HIGH = 0.10, 0.90
NO_NUMBER = "no part number"


@dataclass(frozen=True)
class Parts:
    """The parts of a fleet at one moment.

    Attributes
    ----------
    on : Timestamp, UTC
    habit : Habit, how worn an anode is when it is replaced
    table : DataFrame
        One row a part, the most pressing order first: part_number, used_for, anodes (in service),
        on_hand (unknown where nobody counted), order (pieces), order_by, lasts_until,
        short_before (chance that stock runs out before an order placed now arrives), lead_days,
        then for 4, 13 and 26 weeks `need_4_low`, `need_4`, `need_4_high` (10, 50 and 90 % points
        of how many it will take), `seals_4` (90 % point), and part_cost.
    moorings : DataFrame
        One row a part and mooring: part_number, mooring_id, anodes, on_hand (there), common (in
        the fleet's store), need_4_low ... need_26_high.
    ahead : DataFrame
        One row a part and week: part_number, week (its end, date), low, likely, high, expected,
        on_hand.
    everything : DataFrame
        One row a span: weeks (4, 13, 26), low, likely, high: anodes of all parts together.
    not_counted : int
        Anodes in service that were never looked at and have no fitting: not in any number.
    """

    on: pd.Timestamp
    habit: Habit
    table: pd.DataFrame
    moorings: pd.DataFrame
    ahead: pd.DataFrame
    everything: pd.DataFrame
    not_counted: int


def count_parts(appraisal: Appraisal) -> Parts:
    """Say how many parts the coming weeks will take and what to order.

    Replacements follow the fleet's own habit (`parts.habit`): nothing is assumed to change in how
    worn an anode is when the yard replaces it.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    Parts

    Raises
    ------
    TooLittle
        No anode in service is known.
    """
    checked, settings = appraisal.checked, appraisal.logbook.settings
    ahead = use_ahead(checked, appraisal.exposure)
    anodes, course = _courses(appraisal, ahead)
    if anodes.empty:
        raise TooLittle(
            "fittings, readings: no anode in service is known by a fitting or a reading, so no "
            "part can be counted. Enter what was fitted, or look at one anode of each place."
        )
    habit = replacing_habit(appraisal.lives)
    # shares of wear that speeds up are straightened, as the forecast's are
    levels = straightened(habit.replaced_at, appraisal.life.model.design.growth)
    even = replace(habit, replaced_at=levels)
    key = anodes["part_number"] + "\n" + anodes["mooring_id"]
    at_mooring = count_by(course, even, key)
    looks = count_visits(course, _gaps(appraisal, ahead, anodes), anodes["part_number"])
    held = pieces_on_hand(settings, checked.stock_moves)
    by_part: dict[str, Counted] = {}
    for name, counted in at_mooring.items():
        part = str(name).split("\n")[0]
        by_part[part] = by_part[part] + counted if part in by_part else counted
    today = checked.logbook.on.tz_convert(settings.timezone)
    orders = {part: _order(by_part[part], part, held, today, settings) for part in by_part}
    unseen = int(appraisal.forecast.anodes["risk"].isna().sum())
    return Parts(
        checked.logbook.on, habit,
        _table(anodes, by_part, looks, held, orders, settings),
        _by_mooring(anodes, at_mooring, held), _ahead(by_part, held, today),
        _everything(list(by_part.values())), unseen,
    )  # fmt: skip


def _courses(appraisal: Appraisal, ahead: Ahead) -> tuple[pd.DataFrame, Course]:
    """Anodes in service with part and price, and their way ahead by the ends of weeks."""
    fit, checked = appraisal.life, appraisal.checked
    path = project_wear(fit, checked, ahead)
    at = np.searchsorted(ahead.days, 7.0 * (1.0 + np.arange(WEEKS)))
    hull_sd = np.sqrt(np.maximum(path.shared_sd**2 - path.fleet_sd**2, 0.0))
    rows = fit.lives.lives.iloc[fit.model.design.steps.lives[path.lives]]
    anodes = rows[["hull_id", "position", "layout"]].reset_index(drop=True)
    last_worn = appraisal.forecast.anodes[["hull_id", "position", "mooring_id", "last_worn"]]
    register = checked.anode_positions.drop_duplicates(["layout", "position"])
    prices = register[["layout", "position", "part_number", "part_cost", "seal_cost"]]
    anodes = anodes.merge(last_worn, on=["hull_id", "position"], how="left")
    anodes = anodes.merge(prices, on=["layout", "position"], how="left")
    nameless = anodes["position"] + " of " + anodes["layout"] + ", " + NO_NUMBER
    anodes["part_number"] = anodes["part_number"].where(anodes["part_number"].notna(), nameless)
    worn = np.maximum.accumulate(path.mean[:, at], axis=1)
    return anodes, Course(
        worn, path.mean[:, 0], path.own_sd[:, at], hull_sd[:, at],
        path.fleet_sd[:, at],
        straightened(anodes["last_worn"].to_numpy(float), path.growth),
        fit.model.design.hull[path.lives],
    )  # fmt: skip


def _gaps(appraisal: Appraisal, ahead: Ahead, anodes: pd.DataFrame) -> Floats:
    month = int(np.searchsorted(ahead.days, 28.0))
    daily = pd.Series(ahead.engine_h[:, month] / 28.0, appraisal.exposure.hull_ids)
    of_hull = np.asarray(daily.reindex(anodes["hull_id"]), dtype=np.float64)
    return look_gaps(appraisal.checked, anodes, of_hull)


def _order(
    counted: Counted, part: str, held: pd.DataFrame, today: pd.Timestamp, settings: Settings
) -> Order | None:
    """Say what to order of a part; nothing where nobody counted what is there."""
    own = held.loc[held["part_number"] == part, "pieces"]
    if own.empty:
        return None
    lead = settings.lead.get(part, settings.lead_days)
    return order_parts(counted, int(own.sum()), today.date(), lead, settings.service_level)


def _table(
    anodes: pd.DataFrame,
    by_part: dict[str, Counted],
    looks: dict[object, Counted],
    held: pd.DataFrame,
    orders: dict[str, Order | None],
    settings: Settings,
) -> pd.DataFrame:
    on_hand = held.groupby("part_number")["pieces"].sum()
    rows = []
    for part, rows_of in ((str(name), rows) for name, rows in anodes.groupby("part_number")):
        order = orders[part]
        rows.append(
            {
                "part_number": part,
                "used_for": ", ".join(sorted(rows_of["position"].unique())),
                "anodes": len(rows_of),
                "on_hand": on_hand.get(part, np.nan),
                "order": order.pieces if order else np.nan,
                "order_by": order.by if order else None,
                "lasts_until": order.lasts_until if order else None,
                "short_before": _never_sure(order.short_before) if order else np.nan,
                "lead_days": settings.lead.get(part, settings.lead_days),
                **_needs(by_part[part]),
                **_seals(rows_of, by_part[part], looks[part]),
                "part_cost": _price(rows_of["part_cost"].dropna()),
            }
        )
    table = pd.DataFrame(rows)
    far = pd.Series([d is None for d in table["order_by"]], index=table.index)
    due = pd.to_datetime(table["order_by"])
    order_of = table.assign(far=far, due=due).sort_values(
        ["far", "due", "short_before", "part_number"], ascending=[True, True, False, True]
    )
    return table.loc[order_of.index].reset_index(drop=True)


def _never_sure(chance: float) -> float:
    return float(np.clip(chance, LEAST_CHANCE, 1.0 - LEAST_CHANCE))


def _price(known: pd.Series) -> float:
    return float(known.median()) if len(known) else float("nan")


def _needs(counted: Counted) -> dict[str, int]:
    made = {}
    for weeks in SPANS:
        made[f"need_{weeks}_low"] = counted.quantile(weeks, LOW)
        made[f"need_{weeks}"] = counted.quantile(weeks, 0.5)
        made[f"need_{weeks}_high"] = counted.quantile(weeks, HIGH)
    return made


def _seals(anodes: pd.DataFrame, counted: Counted, looks: Counted) -> dict[str, float]:
    """Seals that suffice with 90 %: one for each time that the place is opened.

    An anode is replaced at a look; where replacements come faster than looks, they count.
    """
    sealed = (anodes["seal_cost"] > 0).mean() if anodes["seal_cost"].notna().any() else np.nan
    return {
        f"seals_{weeks}": sealed * max(looks.quantile(weeks, HIGH), counted.quantile(weeks, HIGH))
        for weeks in SPANS
    }


def _by_mooring(
    anodes: pd.DataFrame, at_mooring: dict[object, Counted], held: pd.DataFrame
) -> pd.DataFrame:
    there = held.set_index(["part_number", "mooring_id"])["pieces"]
    counted = set(held["part_number"])
    rows = []
    for (part, mooring), rows_of in anodes.groupby(["part_number", "mooring_id"]):
        known = part in counted
        rows.append(
            {
                "part_number": part,
                "mooring_id": mooring,
                "anodes": len(rows_of),
                "on_hand": there.get((part, mooring), 0) if known else np.nan,
                "common": there.get((part, COMMON), 0) if known else np.nan,
                **_needs(at_mooring[f"{part}\n{mooring}"]),
            }
        )
    return pd.DataFrame(rows)


def _ahead(by_part: dict[str, Counted], held: pd.DataFrame, today: pd.Timestamp) -> pd.DataFrame:
    on_hand = held.groupby("part_number")["pieces"].sum()
    rows = [
        (
            part,
            (today + pd.Timedelta(weeks=week)).date(),
            *(counted.quantile(week, share) for share in (LOW, 0.5, HIGH)),
            expected,
            on_hand.get(part, np.nan),
        )
        for part, counted in by_part.items()
        for week, expected in enumerate(counted.expected(), start=1)
    ]
    columns = ["part_number", "week", "low", "likely", "high", "expected", "on_hand"]
    return pd.DataFrame(rows, columns=columns)


def _everything(counts: list[Counted]) -> pd.DataFrame:
    """Add all parts up, luck that the fleet shares counted in."""
    columns = ["weeks", "low", "likely", "high"]
    if not counts:
        return pd.DataFrame([(weeks, 0, 0, 0) for weeks in SPANS], columns=columns)
    every = counts[0]
    for more in counts[1:]:
        every = every + more
    rows = [(w, *(every.quantile(w, share) for share in (LOW, 0.5, HIGH))) for w in SPANS]
    return pd.DataFrame(rows, columns=columns)
