"""Said beside happened: reliability, Brier scores, coverage, and the misses by name."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import betaincinv

from corrosion.common import Z95, Floats
from corrosion.forecast.backtest.spans import HORIZONS_DAYS

EDGES: Final = (0.0, 0.02, 0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 0.95, 1.0)
LOOK: Final = ["hull_id", "position", "next_at"]
WITHIN_DAYS: Final = 28.0
HALF_GONE: Final = 0.5
LEAD_DAYS: Final = 3.0
SURELY: Final = 0.9
MIDDLE: Final = (0.05, 0.95)


def next_looks(judged: pd.DataFrame) -> pd.DataFrame:
    """Return the forecasts that were followed by a look within four weeks."""
    return judged[judged["next_found"].notna() & (judged["next_days"] <= WITHIN_DAYS)]


def share_interval(hits: npt.ArrayLike, looks: npt.ArrayLike) -> tuple[Floats, Floats]:
    """Return 95 % ends of a share, exact for a binomial count (Clopper & Pearson 1934).

    Parameters
    ----------
    found, looks : array_like, shape (n,), counts; `found` may be a fraction

    Returns
    -------
    low, high : ndarray, shape (n,)
    """
    k, n = np.asarray(hits, float), np.asarray(looks, float)
    low = np.where(k > 0, betaincinv(np.maximum(k, 1e-9), n - k + 1, 0.025), 0.0)
    high = np.where(k < n, betaincinv(k + 1, np.maximum(n - k, 1e-9), 0.975), 1.0)
    return low, high


def reliability(judged: pd.DataFrame) -> pd.DataFrame:
    """Set what was said for the next look beside what it found.

    Weekly forecasts of one anode meet at the same look, so intervals count looks, not forecasts.

    Parameters
    ----------
    judged : DataFrame
        As `corrosion.forecast.backtest.outcomes.judged` gives it.

    Returns
    -------
    DataFrame
        One row a band of chances with forecasts in it: `from_chance`, `to_chance`, `said` (mean),
        `forecasts`, `looks`, `worn` (looks that found it worn), `found` (share of the forecasts),
        `low`, `high` (95 %).
    """
    rows = next_looks(judged)
    band = pd.cut(rows["chance"], EDGES, include_lowest=True, labels=False)
    table = rows.groupby(band).agg(
        said=("chance", "mean"), forecasts=("chance", "size"), found=("next_found", "mean")
    )
    once = rows.assign(band=band).drop_duplicates(["band", *LOOK]).groupby("band")["next_found"]
    table = table.assign(looks=once.size(), worn=once.sum())
    low, high = share_interval(table["found"] * table["looks"], table["looks"])
    edges = np.array(EDGES)
    number = table.index.to_numpy(int)
    table = table.assign(from_chance=edges[number], to_chance=edges[number + 1], low=low, high=high)
    columns = ["from_chance", "to_chance", "said", "forecasts", "looks", "worn", "found"]
    return table[[*columns, "low", "high"]].reset_index(drop=True)


def blame(judged: pd.DataFrame) -> pd.DataFrame:
    """Part what was said too much, or too little, between use and wear, looks counted once.

    Forecasts of several Mondays meet at one look and are wrong together, so each look is counted
    once, with the mean of what they said. Use is to blame for what would have been said otherwise,
    had the engine hours until the look been known (a hull held back, a hire that did not come);
    what is left is wear, and chance.

    Parameters
    ----------
    judged : DataFrame

    Returns
    -------
    DataFrame
        One row of the middle chances (5 to 95 %) and one of all: `chances`, `looks`, `said`
        (sum of chances), `said_with_use` (the same, use known), `found`, `low`, `high` (between
        which 95 % of such counts lie, if the chances with use known are right), `hours_said`,
        `hours_run` (engine hours, sums).

    Notes
    -----
    The spread of the count is that of looks on their own, or that of hulls whose looks stray
    together, whichever is larger.
    """
    rows = next_looks(judged)
    sums = ["chance", "chance_used", "next_found", "engine_h_said", "engine_h_run"]
    looks = rows.groupby(LOOK)[sums].mean()
    middle = looks[looks["chance"].between(*MIDDLE)]
    return pd.DataFrame([_blamed("middle", middle), _blamed("all", looks)])


def _blamed(name: str, looks: pd.DataFrame) -> dict[str, object]:
    chance = looks["chance_used"].to_numpy(float)
    middle = float(chance.sum())
    # anodes of a hull are wrong together: the larger of both spreads
    away = (looks["next_found"] - looks["chance_used"]).groupby(level="hull_id").sum()
    sd = max(np.sqrt(np.sum(chance * (1 - chance))), np.sqrt(np.sum(away**2)))
    return {
        "chances": name,
        "looks": len(looks),
        "said": float(looks["chance"].sum()),
        "said_with_use": middle,
        "found": float(looks["next_found"].sum()),
        "low": max(middle - Z95 * sd, 0.0),
        "high": middle + Z95 * sd,
        "hours_said": float(looks["engine_h_said"].sum()),
        "hours_run": float(looks["engine_h_run"].sum()),
    }


def rivals(judged: pd.DataFrame) -> pd.DataFrame:
    """Score the forecasts against the average and three rules of thumb, on the same looks.

    Each rule divides the anodes in two and is given the best chance that it could have said for
    each half, with hindsight: the share of it that was found worn. By the calendar and by engine
    hours: since the fitting longer than the middle anode of its position that was found worn.
    Half gone: the last look found half of the allowance used.

    Parameters
    ----------
    judged : DataFrame

    Returns
    -------
    DataFrame
        `rule`, `forecasts`, `brier` (mean squared distance, less is better), `skill` (share of the
        average's Brier score taken away).
    """
    rows = next_looks(judged)
    worn = rows["next_found"].to_numpy(float)
    if not len(rows):
        return pd.DataFrame(columns=["rule", "forecasts", "brier", "skill"])
    age = rows["age_days"] + rows["next_days"]
    warnings = {
        "these forecasts": rows["chance"].to_numpy(float),
        "the average": np.full(len(rows), worn.mean()),
        "by the calendar": _in_halves(_beyond(age, rows), worn),
        "by engine hours": _in_halves(_beyond(rows["engine_h"], rows), worn),
        "half gone": _in_halves((rows["last_worn"] >= HALF_GONE).to_numpy(), worn),
    }
    table = pd.DataFrame(
        {
            "rule": list(warnings),
            "brier": [float(np.mean((p - worn) ** 2)) for p in warnings.values()],
        }
    )
    average = table.loc[table["rule"] == "the average", "brier"].iloc[0]
    skill = 1 - table["brier"] / average if average > 0 else np.nan
    return table.assign(skill=skill, forecasts=len(rows))[["rule", "forecasts", "brier", "skill"]]


def _beyond(since: pd.Series, rows: pd.DataFrame) -> np.ndarray:
    usual = since[rows["next_found"] > 0].groupby(rows["position"]).median()
    return (since >= rows["position"].map(usual).fillna(np.inf)).to_numpy(bool)


def _in_halves(warned: np.ndarray, worn: Floats) -> Floats:
    shares = [worn[warned == half].mean() if (warned == half).any() else 0.0 for half in (0, 1)]
    return np.where(warned, shares[1], shares[0])


def horizons(judged: pd.DataFrame) -> pd.DataFrame:
    """Count, for each horizon, what was said and what can be told of it.

    Parameters
    ----------
    judged : DataFrame

    Returns
    -------
    DataFrame
        `days`, `forecasts`, `judged`, `said` (sum of the chances of those judged), `found` (sum
        of the chances that the limit was crossed by then), `between`, `pulled`, `unread`, `open`
        (counts of forecasts: see `corrosion.forecast.backtest.outcomes.HOW`).
    """
    return pd.DataFrame([_horizon(judged, days) for days in HORIZONS_DAYS])


def _horizon(judged: pd.DataFrame, days: int) -> dict[str, float]:
    worn, how = judged[f"found_{days}"], judged[f"how_{days}"].value_counts()
    known = worn.notna()
    return {
        "days": days,
        "forecasts": len(judged),
        "judged": int(known.sum()),
        "said": float(judged.loc[known, f"risk_{days}"].sum()),
        "found": float(worn.sum()),
        **{name: int(how.get(name, 0)) for name in ("between", "pulled", "unread", "open")},
    }


def coverage(judged: pd.DataFrame) -> pd.DataFrame:
    """Say how often 80 % ranges held: of the next reading, and of the days left.

    The days left are judged where worn was found: the limit was crossed between two looks, which
    may lie inside the range (held), outside (missed), or across its end (cannot tell).

    Parameters
    ----------
    judged : DataFrame

    Returns
    -------
    DataFrame
        `range`, `judged`, `held`, `share`, `low`, `high` (95 %, looks counted once), `cannot_tell`.
    """
    sized = judged[judged["next_worn"].notna()]
    inside = (sized["next_worn"] >= sized["low"]) & (sized["next_worn"] <= sized["high"])
    looks = len(sized.drop_duplicates(LOOK))
    worn = judged[judged["next_found"] == 1]
    left = worn[worn["days_left_90"] < 3600]
    early = left["next_days"] < left["days_left_10"]
    surely = (left["next_days"] <= left["days_left_90"]) & (left["days_left_10"] <= 0)
    rows = [
        ("the next reading", len(sized), int(inside.sum()), looks, 0),
        ("the days left, reached too early", len(left), int((~early).sum()),
         len(left.drop_duplicates(LOOK)), int((~early & ~surely).sum())),
    ]  # fmt: skip
    table = pd.DataFrame(rows, columns=["range", "judged", "held", "looks", "cannot_tell"])
    share = table["held"] / table["judged"].clip(lower=1)
    low, high = share_interval(share * table["looks"], table["looks"])
    return table.assign(share=share, low=low, high=high)


def scores_by(judged: pd.DataFrame, column: str) -> pd.DataFrame:
    """Sum up the forecasts of each mooring, or each position.

    Parameters
    ----------
    judged : DataFrame
    column : {'mooring_id', 'position'}

    Returns
    -------
    DataFrame
        That column, `forecasts`, `looks`, `said` and `worn` (sums), `brier`.
    """
    rows = next_looks(judged)
    rows = rows.assign(away=(rows["chance"] - rows["next_found"]) ** 2)
    table = rows.groupby(column).agg(
        forecasts=("chance", "size"), said=("chance", "sum"), worn=("next_found", "sum"),
        brier=("away", "mean"),
    )  # fmt: skip
    looks = rows.drop_duplicates(LOOK).groupby(column).size()
    return table.assign(looks=looks).reset_index()


def misses(judged: pd.DataFrame, tolerated_risk: float) -> pd.DataFrame:
    """Name the looks that came as a surprise, the worst first.

    Parameters
    ----------
    judged : DataFrame
    tolerated_risk : float
        The fleet's own; what was given less, and found worn, is a miss.

    Returns
    -------
    DataFrame
        One row a look: `hull_id`, `position`, `mooring_id`, `week` (of the last forecast at least
        three days before), `chance`, `worn_then` (estimated on that day), `last_read_at`,
        `last_worn`, `next_at`, `next_worn`, `what` (``worn, not expected`` or ``expected, still
        sound``).
    """
    rows = next_looks(judged)
    rows = rows[rows["next_days"] >= LEAD_DAYS].sort_values("next_days", kind="stable")
    rows = rows.drop_duplicates(LOOK)
    missed = (rows["next_found"] == 1) & (rows["chance"] < tolerated_risk)
    false = (rows["next_found"] == 0) & (rows["chance"] > SURELY)
    what = np.where(missed, "worn, not expected", "expected, still sound")
    surprise = np.where(missed, -np.log(rows["chance"].clip(lower=1e-9)), -np.log1p(
        -rows["chance"].clip(upper=1 - 1e-9)))  # fmt: skip
    table = rows.assign(what=what, surprise=surprise, worn_then=rows["mean_0"])[missed | false]
    order = table.sort_values(["what", "surprise"], ascending=[False, False], kind="stable")
    columns = ["hull_id", "position", "mooring_id", "week", "chance", "worn_then", "last_read_at"]
    return order[[*columns, "last_worn", "next_at", "next_worn", "what"]].reset_index(drop=True)
