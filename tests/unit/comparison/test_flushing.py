"""What flushing saves: policies, the fleet's own hours, the likelihood of a share, the verdict."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from corrosion.command_line import main
from corrosion.comparison.flushing import (
    DAILY,
    Policy,
    Verdict,
    bill_of_policy,
    judge_flushing,
    outcome_of_policy,
    report_on_flushing,
)
from corrosion.comparison.flushing.engine import engine_lives, fit_engine, likelihood_by_hull
from corrosion.comparison.flushing.estimand import LAST_YEAR_H, Ledger, Span, build_ledger
from corrosion.comparison.flushing.log_readings import bulk_unknown, readings_of, unwritten
from corrosion.comparison.flushing.parts_of_fleet import share_on
from corrosion.comparison.flushing.policy import under
from corrosion.comparison.flushing.profile import ShareLikelihood
from corrosion.comparison.flushing.returns import last_returns
from corrosion.comparison.flushing.trial import starting_order
from corrosion.exposure.hours_by_state import rewetted
from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.life_model.fitting import Fit
from tests.fleets import usual_fleet
from tests.known_truth.simulator import KINDS, simulate, write

pytestmark = pytest.mark.slow
UTC = ZoneInfo("UTC")
CONTRACT = ["verdict", "share_saved", "low", "high", "raw", "hulls", "outings", "note"]


@cache
def middling() -> Appraisal:
    """Twelve simulated hulls over 200 days."""
    plan = replace(KINDS["standard"], hulls=12, days=200, tail_days=1, start_day_of_year=(100, 100))
    fleet = simulate("middling", 7, plan)
    with TemporaryDirectory() as folder:
        return appraise(write(fleet, folder), fleet.end)


@cache
def engine() -> tuple[Fit, Ledger]:
    fit = fit_engine(middling().lives, middling().exposure)
    end_h = float(fit.exposure.outings["stop_h"].max()) + 1.0
    return fit, build_ledger(fit, Span(end_h - LAST_YEAR_H, end_h), DAILY, UTC)


def test_slopes_of_wear_are_the_slopes_of_wear():
    fit, ledger = engine()
    model, at = fit.model, np.asarray(fit.results.params)

    def wears(params):
        rates = model.evaluate(params).rates
        return [ledger.steady_wear(rates), *ledger.wet_wear(rates)]

    names = [spread.name for spread in model.spreads]
    for k, name in enumerate(names):
        step = np.zeros(at.size)
        step[k] = 1e-5
        for exact, ahead, behind in zip(wears(at), wears(at + step), wears(at - step), strict=True):
            difference = (ahead.value - behind.value) / 2e-5
            assert exact.slope[k] == pytest.approx(difference, rel=1e-4, abs=1e-6), name


def test_a_fleet_that_is_flushed_daily_already_has_nothing_left_to_save():
    fit, ledger = engine()
    daily = under(fit.exposure.outings, DAILY, fit.exposure.mooring_ids, UTC)
    flushed = replace(fit, exposure=rewetted(fit.exposure, daily))
    span = Span(float(daily["stop_h"].max()) - LAST_YEAR_H, float(daily["stop_h"].max()))
    rates = fit.results.evaluation.rates
    _, saved = build_ledger(flushed, span, DAILY, UTC).wet_wear(rates)
    assert saved.value == pytest.approx(0.0, abs=1e-9)
    assert ledger.wet_wear(rates)[1].value > 0


def test_hours_without_another_rinse_are_the_hours_that_were():
    fit, _ = engine()
    same = rewetted(fit.exposure, fit.exposure.outings)
    hulls = np.arange(len(fit.exposure.hull_ids))
    ends = np.full(hulls.size, 0.0), np.full(hulls.size, 1e6)
    assert same.cells.equals(fit.exposure.cells)
    np.testing.assert_array_equal(
        same.between(hulls, *ends).drying, fit.exposure.between(hulls, *ends).drying
    )


def test_the_engine_circuit_keeps_its_looks_with_their_lives():
    lives = middling().lives
    alone = engine_lives(lives)
    assert set(alone.lives["circuit"]) == {"engine"}
    whole = lives.looks.join(lives.lives[["hull_id", "position", "circuit"]], on="life")
    part = alone.looks.join(alone.lives[["hull_id", "position"]], on="life")
    expected = whole[whole["circuit"] == "engine"].reset_index(drop=True)
    columns = ["hull_id", "position", "at_h", "worn"]
    pd.testing.assert_frame_equal(part[columns], expected[columns])


def test_the_level_that_is_said_to_give_a_share_gives_it():
    likelihood = ShareLikelihood(*engine())
    z = np.zeros(likelihood.turn.shape[1])
    for share in (0.02, 0.15, 0.4):
        level, _ = likelihood.level_for(share, likelihood.params(z, 0.0))
        assert likelihood.share_at(likelihood.params(z, level)) == pytest.approx(share)


def test_the_likelihood_falls_off_on_both_sides_of_its_peak_to_the_critical_value():
    likelihood = ShareLikelihood(*engine())
    peak = likelihood.top()
    spread = likelihood.spread(peak)
    for side in (-1, 1):
        params = likelihood.end(peak, 3.84, spread.by_model, side)
        there = likelihood.value(params)[0]
        assert 2 * (peak.value - there) == pytest.approx(3.84, rel=0.1)
        assert side * (likelihood.share_at(params) - peak.share) > 0


def test_the_likelihoods_of_the_hulls_add_up_to_that_of_the_fleet():
    fit, _ = engine()
    at = np.asarray(fit.results.params)
    step = np.zeros(at.size)
    step[0] = 0.05
    whole = fit.model.loglike_data(at + step) - fit.model.loglike_data(at)
    by_hull = likelihood_by_hull(fit.model, at + step) - likelihood_by_hull(fit.model, at)
    assert by_hull.sum() == pytest.approx(whole)


def test_unwritten_flushes_hide_among_blanks_and_nowhere_else():
    out = middling().exposure.outings
    less = unwritten(out, 0.2)
    changed = less["wet_share"] != out["wet_share"]
    assert changed.any()
    assert set(out.loc[changed, "written"]) == {""}
    hidden = (out["wet_share"] - less["wet_share"])[out["water"] != "fresh"].sum()
    done = ((out["written"] == "yes") & (out["water"] != "fresh")).sum()
    assert 0.1 * done < hidden <= 0.26 * done


def test_a_log_without_blanks_leaves_nothing_to_be_unwritten():
    out = middling().exposure.outings
    full = out.assign(written=out["written"].where(out["written"] != "", "no"))
    pd.testing.assert_frame_equal(unwritten(full, 0.2), full)


def test_days_ticked_in_bulk_are_read_as_the_hulls_other_days():
    out = middling().exposure.outings
    ticked = out.assign(in_bulk=out.index % 2 == 0)
    read = bulk_unknown(ticked, UTC)
    assert read.loc[ticked["in_bulk"], "flushed_h"].isna().all()
    assert read["wet_share"].between(0, 1).all()


def test_a_clean_log_is_read_as_written_or_with_flushes_missing_and_in_no_other_way():
    exposure = middling().exposure
    end_h = float(exposure.outings["stop_h"].max())
    ways = readings_of(exposure, last_returns(exposure, 0.0, end_h, UTC), UTC)
    assert [way.name for way in ways] == [
        "as written",
        "10 % of flushes never written down",
        "20 % of flushes never written down",
    ]


def test_a_handful_of_hulls_gets_no_number():
    fleet = usual_fleet(3)
    for hull in ("H1", "H2", "H3"):
        fleet.season(hull, "2031-04-02", 40, flushed=hull == "H1")
        fleet.reading(hull, "pencil", "2031-05-12", 8.4).reading(hull, "pencil", "2031-05-20", 8.2)
    with TemporaryDirectory() as folder:
        verdict = judge_flushing(appraise(fleet.write(Path(folder)), "2031-06-01"))
    assert verdict.verdict == "cannot-tell"
    assert [verdict.share_saved, verdict.low, verdict.high, verdict.raw] == [None] * 4
    assert "fewer than 5" in verdict.note


def test_the_interval_holds_the_share_of_a_dozen_hulls():
    verdict = judge_flushing(middling())
    assert verdict.low <= verdict.share_saved <= verdict.high
    assert 5 <= verdict.hulls < 12  # those in fresh water are not asked about
    assert verdict.readings["plausible"].any()


def test_the_command_prints_the_contracts_object(tmp_path, capsys):
    fleet = usual_fleet(2).season("H1", "2031-04-02", 20).season("H2", "2031-04-02", 20)
    folder = fleet.write(tmp_path / "fleet")
    assert main(["flushing", str(folder), "--on", "2031-05-01"]) == 0
    printed = json.loads(capsys.readouterr().out)
    assert list(printed)[: len(CONTRACT)] == CONTRACT
    assert printed["verdict"] == "cannot-tell"
    assert printed["share_saved"] is None


def test_a_later_flush_saves_less_and_one_after_every_return_more():
    verdict, zone = judge_flushing(middling()), UTC
    shares = [
        outcome_of_policy(verdict, policy, zone).total["saved"]
        for policy in (
            Policy(every_return=True),
            DAILY,
            Policy(within_h=4.0),
            Policy(within_h=12.0),
        )
    ]
    assert shares == sorted(shares, reverse=True)


def test_a_bill_is_minutes_times_wage_and_says_nothing_where_the_fleet_has_not():
    answer = middling()
    done = outcome_of_policy(judge_flushing(answer), DAILY, UTC)
    unknown = bill_of_policy(done, answer.checked)
    assert [unknown.cost, unknown.spared, unknown.castings] == [None] * 3
    assert bill_of_policy(done, answer.checked, 6.0).hours == pytest.approx(
        done.total["added"] / 10
    )


def test_no_group_under_five_hulls_is_in_the_report():
    report = report_on_flushing(middling())
    assert (report.evidence.moorings["hulls"] >= 5).all()
    assert (report.evidence.positions["hulls"] >= 5).all()


def test_a_longer_trial_takes_fewer_hulls_and_its_order_can_be_drawn_again():
    trial = report_on_flushing(middling()).evidence.trial
    assert trial["hulls"].is_monotonic_decreasing
    assert starting_order(["a", "b", "c"], 4) == starting_order(["c", "b", "a"], 4)
    assert {tuple(starting_order("abc", seed)) for seed in range(40)} >= {("a", "b", "c")}


def test_the_share_on_every_hull_is_the_fleets_and_a_parts_interval_is_its_own():
    verdict = judge_flushing(middling())
    hulls = list(verdict.by_hull["hull_id"])
    whole, part = share_on(verdict, hulls, UTC), share_on(verdict, hulls[:4], UTC)
    assert whole.share == pytest.approx(report_share(verdict), abs=1e-6)
    assert part.low <= part.share <= part.high
    assert part.share != whole.share


def report_share(verdict: Verdict) -> float:
    return float(verdict.readings.loc[verdict.readings["behind"].idxmin(), "share"])
