"""The whole fleet in one table: every hull in service with where it stands, and the weeks ahead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import pandas as pd

from corrosion.common import Floats, after_days
from corrosion.forecast import Appraisal
from corrosion.reports.headline import PAST_LIMIT, hulls_expected, weeks_ahead

STANDINGS: Final = ("past", "high", "watch", "low", "not known")
"""Where a hull stands, gravest first; `past`: an anode of it is past its limit."""
EVERYWHERE: Final = "all"
WEEKS: Final = 6
_ANODE: Final = (
    *("worn_low", "worn_high", "last_worn", "last_size_mm", "last_verdict", "last_read_at"),
    *("new_size_mm", "limit_size_mm"),
)


@dataclass(frozen=True)
class FleetTable:
    """Every hull in service, and how many of them the weeks ahead bring to a limit.

    Attributes
    ----------
    hulls : DataFrame
        One row a hull, riskiest first, then those that cannot be judged: `hull_id`, `name`,
        `mooring_id`, `layout` (empty where not known), `standing` (one of STANDINGS), `rank`,
        `risk` (0 to 1, by the end of the horizon), `pull_by` (date), `position` (its worst
        anode), `worn` and that anode's range, last look (UTC, mm) and sizes (mm), `stop` (why it
        must not sail; empty: it may), `why` (or why it is not judged).
    weeks : DataFrame
        One row a judged hull and week, as `weeks_ahead` gives them.
    expected : DataFrame
        One row a mooring and week, and EVERYWHERE: `mooring_id`, `by` (UTC), `hulls`, `low`,
        `likely`, `high`: hulls with an anode at its limit by then if nobody acts (80 %).
    """

    hulls: pd.DataFrame
    weeks: pd.DataFrame
    expected: pd.DataFrame


def fleet_table(appraisal: Appraisal) -> FleetTable:
    """Say where every hull in service stands.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    FleetTable
    """
    forecast = appraisal.forecast
    zone = appraisal.logbook.settings.timezone
    weeks = weeks_ahead(
        forecast.hulls,
        forecast.day_grid,
        forecast.hull_chance,
        appraisal.checked.bookings,
        forecast.on.tz_convert(zone),
        WEEKS,
    )
    return FleetTable(_hulls(appraisal), weeks, _expected(appraisal))


def _hulls(appraisal: Appraisal) -> pd.DataFrame:
    forecast = appraisal.forecast
    judged = forecast.hulls.rename(columns={"worst_position": "position"})
    worst = forecast.anodes[["hull_id", "position", *_ANODE]]
    table = judged.merge(worst, on=["hull_id", "position"], how="left")
    past = forecast.anodes.loc[forecast.anodes["flag"] == PAST_LIMIT, "hull_id"]
    tolerated = appraisal.logbook.settings.tolerated_risk
    table["standing"] = np.select(
        [table["hull_id"].isin(past), table["risk"] > tolerated, table["risk"] > tolerated / 3.0],
        list(STANDINGS[:3]),
        STANDINGS[3],
    )
    left = _not_judged(appraisal)
    table = pd.concat([table, left], ignore_index=True) if len(left) else table
    known = appraisal.logbook.hulls.drop_duplicates("hull_id", keep="last")
    table = table.merge(known[["hull_id", "name", "layout"]], on="hull_id", how="left")
    words = ["name", "layout", "mooring_id", "position", "stop", "why"]
    table[words] = table[words].astype(object).where(table[words].notna(), "")
    return table


def _not_judged(appraisal: Appraisal) -> pd.DataFrame:
    """Give the hulls without a forecast one row each, with the mooring that they lie at."""
    reasons = appraisal.forecast.not_judged.groupby("hull_id")["reason"].agg("; ".join)
    berths = appraisal.checked.berths
    berths = berths[berths["since"] <= appraisal.forecast.on].sort_values("since", kind="stable")
    lies = berths.drop_duplicates("hull_id", keep="last").set_index("hull_id")["mooring_id"]
    return pd.DataFrame(
        {
            "hull_id": reasons.index,
            "mooring_id": lies.reindex(reasons.index).to_numpy(object),
            "why": reasons.to_numpy(object),
            "standing": STANDINGS[4],
        }
    )


def _expected(appraisal: Appraisal) -> pd.DataFrame:
    """Count the hulls at a limit by the end of each week: each mooring, then all."""
    forecast = appraisal.forecast
    zone = appraisal.logbook.settings.timezone
    days = [7.0 * week for week in range(1, WEEKS + 1) if 7.0 * week <= forecast.day_grid[-1]]
    at = [int(np.searchsorted(forecast.day_grid, day)) for day in days]
    moorings = forecast.hulls["mooring_id"].to_numpy(object)
    groups = {str(name): moorings == name for name in sorted(set(moorings[moorings != ""]))}
    groups[EVERYWHERE] = np.ones(len(moorings), dtype=bool)
    rows = [
        (
            name,
            after_days(forecast.on, day, zone),
            int(own.sum()),
            *_range(forecast.hull_chance[own, i]),
        )
        for name, own in groups.items()
        for day, i in zip(days, at, strict=True)
    ]
    return pd.DataFrame(rows, columns=["mooring_id", "by", "hulls", "low", "likely", "high"])


def _range(chance: Floats) -> tuple[int, ...]:
    return hulls_expected(chance, (0.1, 0.5, 0.9))


def choose_hulls(
    table: pd.DataFrame, mooring_id: str = "", standing: str = "", layout: str = "", words: str = ""
) -> pd.DataFrame:
    """Keep the hulls that somebody asked for; an empty choice keeps all.

    Parameters
    ----------
    table : DataFrame, as `FleetTable.hulls`
    mooring_id, layout : str
    standing : str
        One of STANDINGS; ``high`` keeps those past their limit too.
    words : str
        Part of a hull's number or name, in any case.

    Returns
    -------
    DataFrame
        The rows kept, in their order.
    """
    keep = pd.Series(True, index=table.index)
    if mooring_id:
        keep &= table["mooring_id"] == mooring_id
    if layout:
        keep &= table["layout"] == layout
    if standing:
        keep &= table["standing"].isin(STANDINGS[:2] if standing == "high" else (standing,))
    if words.strip():
        text = table["hull_id"].astype(str) + " " + table["name"].astype(str)
        keep &= text.str.casefold().str.contains(words.strip().casefold(), regex=False)
    return table[keep]
