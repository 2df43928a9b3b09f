"""The share that flushing saves: the model's, the same hulls' own weeks, by mooring, raw."""

from __future__ import annotations

import numpy as np
import pandas as pd
import streamlit as st

from corrosion.common import formatting
from corrosion.comparison import SMALLEST_GROUP, Evidence, FlushingReport
from corrosion.reports import charts
from pages._shared import cached_answers, listing, session, widgets
from pages._shared.session import View


def show(seen: View, report: FlushingReport, evidence: Evidence) -> None:
    """Draw every way of looking at it, then the same as rows, then by position."""
    table = _ways(report, evidence)
    st.header("Share of the wear that daily flushing would have saved")
    widgets.picture(
        cached_answers.picture(
            seen, "flushing", draw=lambda: charts.shares_saved(table, dark=session.is_dark())
        ),
        "shares",
        "Share of the wear saved by daily flushing, a row for each way of looking at it, with its "
        "95 % interval, and the raw comparison as an open diamond. The list below says the same.",
    )
    st.caption(
        "● adjusted, with its 95 % interval: hours, water, warmth, layout and each hull's own pace "
        "held equal. ◇ raw: how much less hulls flushed after half of their last returns or more "
        "wore per engine hour than the others, nothing held equal. Hulls that could not be flushed "
        "are not compared."
    )
    _rows(table)
    _positions(evidence)


def _ways(report: FlushingReport, evidence: Evidence) -> pd.DataFrame:
    verdict = report.verdict
    middle = report_share(report)
    rows = [("All hulls", middle, verdict.low, verdict.high, verdict.raw, verdict.hulls)]
    possible = int(verdict.by_hull["possible"].sum())
    if SMALLEST_GROUP <= possible < verdict.hulls:
        ends = evidence.possible_low, evidence.possible_high
        own = evidence.possible_share, *ends, verdict.raw, possible
        rows.append(("Hulls that a hose reaches", *own))
    if verdict.within is not None:
        same = verdict.within
        ends = same.low, same.high
        rows.append(("The same hulls' own weeks", same.share, *ends, None, same.hulls))
    rows += [
        (f"At {each.mooring_id} ({each.water})", each.share_saved, each.low, each.high, each.raw,
         int(each.hulls))
        for each in evidence.moorings.itertuples()
    ]  # fmt: skip
    table = pd.DataFrame(rows, columns=["label", "share", "low", "high", "raw", "hulls"])
    return table.astype({"raw": float, "share": float, "low": float, "high": float})


def report_share(report: FlushingReport) -> float:
    """Give the likeliest share, also where the verdict does not lean on it."""
    readings = report.verdict.readings
    return float(readings.loc[readings["behind"].idxmin(), "share"])


def _rows(table: pd.DataFrame) -> None:
    rows = [
        listing.Row(
            (
                listing.text(row.label),
                listing.strong(
                    formatting.share(row.share), formatting.share_span(row.low, row.high)
                ),
                listing.text("not compared" if np.isnan(row.raw) else formatting.share(row.raw)),
                listing.text(formatting.count(int(row.hulls), "hull")),
            )
        )
        for row in table.itertuples()
    ]
    listing.show(
        ("Who", "Adjusted, 95 %", "Raw", "Behind it"),
        rows,
        "ways",
        f"Groups of fewer than {SMALLEST_GROUP} hulls are not shown.",
    )
    widgets.download(table, "flushing_shares", "Shares as CSV")


def _positions(evidence: Evidence) -> None:
    table = evidence.positions
    if table.empty:
        return
    with st.expander("By anode position"):
        rows = [
            listing.Row(
                (
                    listing.strong(row.position, row.layout),
                    listing.text(formatting.span(row.low, row.saved, row.high, "anodes")),
                    listing.text(
                        "not compared" if np.isnan(row.raw) else formatting.share(row.raw)
                    ),
                    listing.text(formatting.count(int(row.hulls), "hull")),
                )
            )
            for row in table.itertuples()
        ]
        listing.show(
            ("Anode", "Spared in a year, 95 %", "Raw", "Behind it"),
            rows,
            "positions",
            "An anode stands for its whole allowance. Where a hose reaches the hull.",
        )
        widgets.download(table, "flushing_positions", "Positions as CSV")
