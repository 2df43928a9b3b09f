"""Terms that the life model might have, each put in for the length of a `with`.

They stand here, not in the program, until they win on fleets in which they are true and cost
nothing where they are not (`python -m tests.known_truth.terms`).
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any
from unittest import mock

import numpy as np
import pandas as pd

from corrosion.exposure import Exposure, Hours, Lives
from corrosion.forecast import appraisal, hours_ahead
from corrosion.life_model import clock_terms, design, fitting, known_spans
from corrosion.life_model.clock_terms import Columns, Terms
from corrosion.records import Checked

LEAST_GAIN = 3.0
"""Log likelihood that a term must bring before it is used on a fleet."""
SHORT_MINUTES = 4.0
LEAST_READ, SAME_VISIT_H = 8, 6.0


class _WarmedTerms(Terms):
    """Terms of a fleet whose running engines do not feel how warm the water outside is."""


def _columns(
    terms: Terms, hours: Hours, engine: np.ndarray, alloy: np.ndarray | int = 0
) -> Columns:
    columns = clock_terms.wearing_columns(terms, hours, engine, alloy)
    if not isinstance(terms, _WarmedTerms):
        return columns
    running = (
        (terms.groups["circuit"] == "engine") & (terms.groups["state"] == "running")
    ).to_numpy(bool)
    return replace(columns, plain_warm=columns.plain_warm * ~running[terms.plain[:, 1]])


def _acting(terms: Terms, on_engine: bool, alloy: int) -> np.ndarray:
    acts = clock_terms.acting_cells(terms, on_engine, alloy)
    if isinstance(terms, _WarmedTerms) and on_engine:
        running = (terms.groups["state"] == "running").to_numpy(bool)[terms.plain[:, 1]]
        acts[len(running) : 2 * len(running)] &= ~running
    return acts


def _warmed(*words: Any, **named: Any) -> Terms:
    return _WarmedTerms(**vars(clock_terms.find_terms(*words, **named)))


@contextlib.contextmanager
def warm_passages() -> Iterator[None]:
    """Let running engines wear their anodes at one temperature, where the looks ask for it."""
    as_it_is = fitting._fit_of_all

    def fit_of_all(lives: Lives, exposure: Exposure) -> fitting.Fit:
        plain = as_it_is(lives, exposure)
        with mock.patch.object(design, "find_terms", _warmed):
            warmed = as_it_is(lives, exposure)
        gain = warmed.model.loglike(warmed.results.params) - plain.model.loglike(
            plain.results.params
        )
        return warmed if gain > LEAST_GAIN else plain

    with contextlib.ExitStack() as stack:
        for module in (known_spans, hours_ahead):
            stack.enter_context(mock.patch.object(module, "wearing_columns", _columns))
        stack.enter_context(mock.patch.object(hours_ahead, "acting_cells", _acting))
        stack.enter_context(mock.patch.object(fitting, "_fit_of_all", fit_of_all))
        yield


def with_unread_removals(lives: Lives) -> Lives:
    """Take an anode that was changed unread for about as spent as those that were read then."""
    table, looks = lives.lives, lives.looks
    last = looks.groupby("life").tail(1).set_index("life")
    ended = table[table["ended"] == "replaced"]
    read = (ended["stop_h"] - last["at_h"].reindex(ended.index)) <= SAME_VISIT_H
    levels = last["worn"].reindex(ended.index)[read].dropna()
    unread = ended[~read]
    if len(levels) < LEAST_READ or unread.empty:
        return lives
    middle, half = float(levels.median()), float(np.sqrt(3.0) * levels.std())
    rows = pd.DataFrame(
        {
            "life": unread.index,
            "at_h": unread["stop_h"].to_numpy(float) - 0.1,
            "kind": "range",
            "worn": middle,
            "worn_low": middle - half,
            "worn_high": middle + half,
            "spent": False,
            "uncleaned": True,
            "size_mm": np.nan,
            "removed": True,
            "doubtful": False,
            "log_row": -1,
        }
    )
    both = pd.concat([looks, rows]).sort_values(["life", "at_h"], kind="stable")
    return replace(lives, looks=both.reset_index(drop=True))


@contextlib.contextmanager
def unread_removals() -> Iterator[None]:
    """Let changes at which nothing was read tell what those that were read tell."""
    as_it_is = fitting._fitted

    def fitted(lives: Lives, *beside: Any) -> fitting.Fit:
        return as_it_is(with_unread_removals(lives), *beside)

    with mock.patch.object(fitting, "_fitted", fitted):
        yield


@contextlib.contextmanager
def short_rinses() -> Iterator[None]:
    """Let rinses of less than `SHORT_MINUTES` count for none, where the looks ask for it."""
    as_it_is = appraisal.exposure_until_now

    def exposed(checked: Checked, *_remembered: Any) -> Exposure:
        full = as_it_is(checked)
        short = (checked.flushes["minutes"] < SHORT_MINUTES).fillna(False)
        if not short.any():
            return full
        long_ones = {**checked.tables, "flushes": checked.flushes[~short]}
        strict = as_it_is(replace(checked, tables=long_ones))
        lives = appraisal.build_lives(checked)
        fits = [fitting.fit_life(lives, each) for each in (full, strict)]
        tops = [each.model.loglike(each.results.params) for each in fits]
        return strict if tops[1] - tops[0] > LEAST_GAIN else full

    with mock.patch.object(appraisal, "exposure_until_now", exposed):
        yield


CANDIDATES: dict[str, Callable[[], contextlib.AbstractContextManager[None]]] = {
    "none": contextlib.nullcontext,
    "warm_passages": warm_passages,
    "unread_removals": unread_removals,
    "short_rinses": short_rinses,
}
