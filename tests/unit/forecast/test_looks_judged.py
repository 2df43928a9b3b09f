"""How often a look changed what was done, on records that a hand can check."""

from __future__ import annotations

import pandas as pd
import pytest

from corrosion.forecast.backtest import looks_in_one_line
from corrosion.forecast.backtest.looks_judged import FORWARD, OUTCOMES, STAYS, looks_judged
from tests.unit.forecast.said_rows import said

WEEK, LOOK = pd.Timestamp("2031-05-05", tz="UTC"), pd.Timestamp("2031-05-08", tz="UTC")
AFTER, SPRING = pd.Timestamp("2031-05-12", tz="UTC"), pd.Timestamp("2031-04-01", tz="UTC")


def look(
    before: float, after: float, *, replaced: bool = False, worn: bool = False, days: int = 0
) -> pd.DataFrame:
    """Lay out the forecasts of one anode before and after a look."""
    first = said(week=WEEK, risk_14=before, fitted_at=SPRING, next_at=LOOK, next_days=3.0,
                 next_found=float(worn))  # fmt: skip
    then = said(
        week=AFTER + pd.Timedelta(days=days), risk_14=after,
        fitted_at=LOOK if replaced else SPRING, next_at=pd.NaT, next_days=float("nan"),
        next_found=float("nan"),
    )  # fmt: skip
    moments = dict.fromkeys(("week", "fitted_at", "next_at"), "datetime64[us, UTC]")
    rows = [each.assign(**{n: pd.to_datetime(each[n], utc=True) for n in moments})
            for each in (first, then)]  # fmt: skip
    return pd.concat(rows, ignore_index=True).astype(moments)


def outcome(*looks: pd.DataFrame) -> pd.DataFrame:
    rows = [each.assign(hull_id=f"H{n}") for n, each in enumerate(looks)]
    return looks_judged(pd.concat(rows, ignore_index=True), 0.1)


@pytest.mark.parametrize(
    ("rows", "what"),
    [
        (look(0.02, 0.4), FORWARD),
        (look(0.02, 0.01, replaced=True, worn=True), FORWARD),
        (look(0.4, 0.02), STAYS),
        (look(0.4, 0.01, replaced=True), OUTCOMES[2]),
        (look(0.4, 0.5), OUTCOMES[2]),
        (look(0.02, 0.01, replaced=True), OUTCOMES[3]),
        (look(0.02, 0.03), OUTCOMES[4]),
    ],
)
def test_a_look_is_judged_by_the_forecasts_before_and_after_it(
    rows: pd.DataFrame, what: str
) -> None:
    assert outcome(rows)[["what", "looks"]].to_numpy().tolist() == [[what, 1]]


def test_the_share_of_looks_that_changed_something_is_said() -> None:
    table = outcome(look(0.02, 0.4), look(0.4, 0.02), *[look(0.02, 0.03)] * 6)
    assert table["looks"].sum() == 8
    assert table["share"].sum() == pytest.approx(1.0)
    line = looks_in_one_line(table)
    assert line.startswith("2 of 8 looks (25 %) changed what was done: 1 brought the change")


def test_a_look_that_no_forecast_followed_soon_is_not_judged() -> None:
    table = outcome(look(0.02, 0.4, days=30))
    assert table.empty
    assert looks_in_one_line(table) == ""


def test_several_mondays_before_one_look_are_one_look_by_the_last_of_them() -> None:
    earlier = look(0.5, 0.03).iloc[:1].assign(week=WEEK - pd.Timedelta(days=7))
    both = outcome(pd.concat([earlier, look(0.02, 0.03)], ignore_index=True))
    assert both["what"].tolist() == [OUTCOMES[4]]
