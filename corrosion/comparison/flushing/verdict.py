"""Does flushing pay in wear: one verdict, with its share, its interval, and what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
import pandas as pd

from corrosion.common import Floats, hours_since_epoch
from corrosion.comparison.flushing.answer import Believed, Verdict
from corrosion.comparison.flushing.engine import fit_engine, is_flooded, refit
from corrosion.comparison.flushing.estimand import LAST_YEAR_H, Span, build_ledger
from corrosion.comparison.flushing.log_readings import Reading, readings_of
from corrosion.comparison.flushing.policy import DAILY
from corrosion.comparison.flushing.profile import Peak, ShareLikelihood, Spread, boundary_p
from corrosion.comparison.flushing.returns import (
    SMALLEST_GROUP,
    hull_table,
    last_returns,
    raw_saving,
    salty_outings,
)
from corrosion.comparison.flushing.within import Rated, within_hulls
from corrosion.exposure import rewetted
from corrosion.forecast import Appraisal
from corrosion.life_model import Fit

SIZE = 0.01
"""Chance, where flushing does nothing, of a likelihood ratio that lets 'saves' be said."""
WITHIN_SIZE = 0.01
"""The same for the hulls' own weeks, which have to agree: hulls that wear fast for a reason of
their own, and happen to be flushed seldom, can't make them differ."""
WORTHWHILE = 0.10
"""A share saved below which flushing is not worth the asking (common practice, no source)."""
GUESSED = 1.5
"""How much further the likelihood may fall where the log is best read otherwise than it is
written: what happened after each single return is then a guess (measured on simulated fleets with
a fifth of the flushes unwritten, where plain intervals missed 3 of 20)."""
SIMPLIFIED = 1.25
"""The same where the log is read as it is written, for what the wear clocks simplify (measured on
simulated fleets whose hard-worked hulls are flushed less: plain intervals missed 4 of 20)."""
FEWEST_RETURNS = 20
"""Last returns flushed, and not, that a comparison needs at least (common practice, no source)."""
SHORTEST_DAYS = 90.0
"""Days of returns that a comparison needs at least: a season's quarter of hulls and weather."""


def judge_flushing(appraisal: Appraisal) -> Verdict:
    """Say what flushing within an hour of each day's last return would have saved in wear.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    Verdict
    """
    until_h = float(hours_since_epoch(pd.DatetimeIndex([appraisal.logbook.on]))[0])
    span, zone = Span(until_h - LAST_YEAR_H, until_h), appraisal.logbook.settings.timezone
    fit = fit_engine(appraisal.lives, appraisal.exposure)
    returns = last_returns(appraisal.exposure, span.since_h, span.until_h, zone)
    hulls = hull_table(appraisal.checked, appraisal.exposure, fit.lives, returns)
    outings = len(salty_outings(appraisal.exposure, span.since_h, span.until_h))
    lacking = _lacking(hulls, returns)
    if lacking:
        return _cannot_tell(lacking, span, hulls, outings)
    return _judged(fit, span, zone, hulls, outings)


def _lacking(hulls: pd.DataFrame, returns: pd.DataFrame) -> str:
    """Say why these logs cannot tell, or nothing."""
    if hulls.empty:
        return "No hull came back from salt or brackish water in the last 365 days."
    usable = hulls[(hulls["anode_h"] > 0) & (hulls["no_log"] < hulls["last_returns"])]
    if len(usable) < SMALLEST_GROUP:
        return (
            f"{len(usable)} hulls have a flush log and anodes that were looked at; fewer than "
            f"{SMALLEST_GROUP} are not compared."
        )
    days = (returns["stop_h"].max() - returns["stop_h"].min()) / 24.0
    if days < SHORTEST_DAYS:
        return f"The returns reach over {days:.0f} days; {SHORTEST_DAYS:.0f} are needed."
    flushed = int(hulls["flushed"].sum())
    left = int(hulls[["not_flushed", "could_not", "blank"]].sum().sum())
    if min(flushed, left) < FEWEST_RETURNS:
        return (
            f"{flushed} last returns were flushed and {left} were not: without "
            f"{FEWEST_RETURNS} of each there is nothing to compare."
        )
    return ""


def _cannot_tell(why: str, span: Span, hulls: pd.DataFrame, outings: int) -> Verdict:
    empty = pd.DataFrame(columns=["reading", "share", "low", "high", "plausible"])
    return Verdict(
        "cannot-tell", None, None, None, None, len(hulls), outings,
        f"These logs cannot tell what flushing saves. {why}", None, span, empty, hulls,
    )  # fmt: skip


@dataclass(frozen=True)
class _Read:
    """One reading of the log, fitted: its likelihood, its peak, and its spread."""

    reading: Reading
    fit: Fit
    likelihood: ShareLikelihood
    peak: Peak
    spread: Spread


def _judged(fit: Fit, span: Span, zone: tzinfo, hulls: pd.DataFrame, outings: int) -> Verdict:
    returns = last_returns(fit.exposure, span.since_h, span.until_h, zone)
    ways = readings_of(fit.exposure, returns, zone, is_flooded(fit))
    read = [_read(each, fit, span, zone) for each in ways]
    best = max(read, key=lambda each: each.peak.value)
    ended = [end for end in (_ends(each, best) for each in read) if end is not None]
    p = boundary_p(min(end.read.peak.ratio for end in ended) / best.spread.more)
    lowest = min(ended, key=lambda end: end.low)
    highest = max(ended, key=lambda end: end.high)
    rated = Rated(best.fit, best.peak.params)
    within = within_hulls(rated, best.likelihood.ledger, set(hulls["hull_id"]))
    seen = p <= SIZE and (within is None or within.p <= WITHIN_SIZE)
    low, high = lowest.low if seen else 0.0, highest.high
    low_at = lowest.low_at if seen else lowest.read.peak.without
    verdict = _verdict(seen, high)
    return Verdict(
        verdict,
        None if verdict == "cannot-tell" else best.peak.share,
        low,
        high,
        raw_saving(hulls),
        len(hulls),
        outings,
        said_of(verdict, hulls),
        p,
        span,
        _readings_table(read, ended, best),
        hulls,
        within,
        Believed(rated, Rated(lowest.read.fit, low_at), Rated(highest.read.fit, highest.high_at)),
    )


def _verdict(seen: bool, high: float) -> str:
    if seen:
        return "saves"
    return "no-difference-seen" if high < WORTHWHILE else "cannot-tell"


def _read(reading: Reading, fit: Fit, span: Span, zone: tzinfo) -> _Read:
    exposure = rewetted(fit.exposure, reading.outings)
    fit_here = fit if reading.as_written else refit(fit, exposure)
    likelihood = ShareLikelihood(fit_here, build_ledger(fit_here, span, DAILY, zone))
    peak = likelihood.top()
    return _Read(reading, fit_here, likelihood, peak, likelihood.spread(peak))


@dataclass(frozen=True)
class _Ended:
    """A plausible reading with the ends of its share and the rates there."""

    read: _Read
    low: float
    high: float
    low_at: Floats
    high_at: Floats


def _ends(each: _Read, best: _Read) -> _Ended | None:
    """Return a reading's ends, or nothing for one that the looks rule out."""
    behind = 0.0 if each.reading.ask_always else 2.0 * (best.peak.value - each.peak.value)
    further = GUESSED if best.reading.guessed else SIMPLIFIED
    critical = best.spread.critical() * further - behind
    if critical <= 0.0:
        return None
    low_at, high_at = (
        each.likelihood.end(each.peak, critical, each.spread.by_model, side) for side in (-1, 1)
    )
    low, high = (each.likelihood.share_at(params) for params in (low_at, high_at))
    return _Ended(each, low, high, low_at, high_at)


def _readings_table(read: list[_Read], ended: list[_Ended], best: _Read) -> pd.DataFrame:
    """Return one row a reading: reading, share, low, high, plausible, behind (likelihood ratio)."""
    by_name = {end.read.reading.name: end for end in ended}
    rows = [
        {
            "reading": each.reading.name,
            "share": each.peak.share,
            "low": by_name[name].low if name in by_name else np.nan,
            "high": by_name[name].high if name in by_name else np.nan,
            "plausible": name in by_name,
            "behind": 2.0 * (best.peak.value - each.peak.value),
        }
        for each in read
        for name in [each.reading.name]
    ]
    return pd.DataFrame(rows)


def said_of(verdict: str, hulls: pd.DataFrame) -> str:
    """Say what the verdict rests on and what it does not."""
    counts = hulls.select_dtypes("int").sum()
    sentences = [
        f"{len(hulls)} hulls, {counts['last_returns']} last returns of a day: "
        f"{counts['flushed']} flushed, {counts['not_flushed']} not, {counts['could_not']} could "
        f"not be, {counts['blank']} with no row (read as not flushed, and as flushed and not "
        "written down).",
        "Every hull counts, also where no hose reaches it afloat.",
    ]
    if counts["no_log"]:
        sentences.append(
            f"{counts['no_log']} last returns fell where the mooring kept no flush log: unknown."
        )
    if counts["in_bulk"]:
        sentences.append(f"{counts['in_bulk']} flushes were ticked with many others in one minute.")
    if verdict == "cannot-tell":
        sentences.insert(0, "The interval holds both nothing and a saving that would pay.")
    if verdict == "no-difference-seen":
        sentences.insert(0, f"A saving of {WORTHWHILE * 100:.0f} % or more is ruled out.")
    return " ".join(sentences)
