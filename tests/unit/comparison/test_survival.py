"""Lives as pictures: watches, counts, curves, log-rank."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.common.errors import TooLittle
from corrosion.comparison.survival import (
    endings,
    life_curve,
    log_rank,
    still_watched,
    watched,
)
from tests.curves import sound_at


def _lives(rows):
    columns = ["hull_id", "water", "entry", "low", "high", "ended"]
    return pd.DataFrame(rows, columns=columns).astype({"entry": float, "low": float, "high": float})


@pytest.fixture
def lives():
    return _lives(
        [
            ("H1", "salt", 0, 100, 140, "worn"),
            ("H1", "salt", 0, 80, np.inf, "pulled-early"),
            ("H2", "salt", 50, 160, 180, "worn"),
            ("H3", "fresh", 0, 400, np.inf, "running"),
            ("H3", "fresh", 0, 300, 420, "worn"),
            ("H4", "fresh", 0, 0, np.inf, "running"),
        ]
    )


@pytest.mark.parametrize(
    ("worn_at", "exits"),
    [("last-sound", [100, 160, 300]), ("middle", [120, 170, 360]), ("first-seen", [140, 180, 420])],
)
def test_a_worn_life_ends_where_in_its_bracket_it_is_told_to(lives, worn_at, exits):
    table = watched(lives, worn_at)
    assert table.loc[table["worn"], "exit"].tolist() == exits


def test_a_life_that_was_not_worn_ends_at_its_last_look(lives):
    table = watched(lives)
    assert table.loc[~table["worn"], "exit"].tolist() == [80, 400]


def test_a_life_nobody_looked_at_after_its_start_says_nothing(lives):
    assert "H4" not in set(watched(lives)["hull_id"])


def test_a_place_in_the_bracket_that_does_not_exist_is_an_error(lives):
    with pytest.raises(ValueError, match="worn_at: 'end' is not one of"):
        watched(lives, "end")


def test_endings_count_the_anodes_pulled_early_beside_the_worn(lives):
    table = endings(lives).set_index("water")
    assert table.loc["salt"].to_dict() == {
        "lives": 3, "hulls": 2, "worn": 2, "pulled_early": 1, "running": 0,
    }  # fmt: skip
    assert table.loc["fresh", "running"] == 2


def test_a_curve_starts_at_one_and_steps_where_anodes_were_worn(lives):
    curve = life_curve(lives)
    assert curve["exposure"].tolist()[0] == 0
    assert curve["sound"].tolist()[0] == 1
    # at 120: four at risk (the one of 80 has gone), at 170 three, at 360 two
    steps = curve[curve["worn"] > 0]
    assert steps["at_risk"].tolist() == [4, 3, 2]
    assert steps["sound"].tolist() == pytest.approx([3 / 4, 1 / 2, 1 / 4])


def test_an_anode_is_not_at_risk_before_its_watch_begins(lives):
    late = lives.assign(entry=[0, 0, 130, 0, 0, 0])
    steps = life_curve(late).query("worn > 0")
    assert steps["at_risk"].tolist() == [3, 3, 2]


def test_one_curve_a_group_and_its_share_at_a_moment(lives):
    at = sound_at(life_curve(lives, by="water"), 175)
    assert at["salt"] == pytest.approx(0.0)
    assert at["fresh"] == 1.0


def test_a_curve_that_has_come_to_nothing_gives_no_band_there(lives):
    salt = life_curve(lives, by="water").query("group == 'salt'")
    assert np.isnan(salt["low"].iloc[-1])
    assert salt["low"].iloc[0] == 1.0


def test_a_wider_confidence_gives_a_wider_band(lives):
    narrow, wide = life_curve(lives, confidence=0.8), life_curve(lives, confidence=0.99)
    step = narrow["worn"] > 0
    assert (wide.loc[step, "low"] < narrow.loc[step, "low"]).all()
    assert (wide.loc[step, "high"] > narrow.loc[step, "high"]).all()


def test_a_curve_without_any_look_is_refused(lives):
    with pytest.raises(TooLittle, match="no anode was looked at"):
        life_curve(lives.assign(low=0.0, high=np.inf))


def test_the_numbers_under_the_axis_are_those_still_watched(lives):
    table = still_watched(lives, at=[0, 100, 170, 380])
    counts = table.set_index(["group", "exposure"])["anodes"]
    assert counts["salt"].tolist() == [2, 2, 1, 0]  # the late one is not there at zero
    assert counts["fresh"].tolist() == [2, 2, 2, 1]


def test_log_rank_with_one_group_is_refused(lives):
    with pytest.raises(TooLittle, match="water is salt for all"):
        log_rank(lives[lives["water"] == "salt"], "water")


def test_log_rank_without_a_worn_life_is_refused_and_says_how_many_there_are(lives):
    with pytest.raises(TooLittle, match="0 of 5 anode lives end at a look past the limit"):
        log_rank(lives.assign(low=[100, 80, 160, 400, 300, 0], high=np.inf), "water")


def test_the_same_lives_in_both_groups_do_not_differ(lives):
    twice = pd.concat([lives.assign(group="a"), lives.assign(group="b")])
    result = log_rank(twice, "group")
    assert result.chi_square == pytest.approx(0.0, abs=1e-12)
    assert result.p_value == pytest.approx(1.0)
    assert result.groups == ("a", "b")


life = st.tuples(
    st.integers(0, 30), st.integers(1, 60), st.integers(0, 40), st.booleans()
)  # entry, watch until last sound look, width of the bracket, worn


@settings(max_examples=60, deadline=None)
@given(st.lists(life, min_size=1, max_size=25), st.randoms())
def test_curves_fall_from_one_within_their_bands_whatever_the_order_of_rows(rows, random):
    table = _lives(
        [
            ("H", "salt", entry, entry + watch, entry + watch + width if worn else np.inf, "worn")
            for entry, watch, width, worn in rows
        ]
    )
    curve = life_curve(table)
    assert curve["sound"].between(-1e-12, 1.0).all()
    assert (curve["sound"].diff().dropna() <= 1e-12).all()
    banded = curve.dropna(subset=["low", "high"])
    assert (banded["low"] <= banded["sound"] + 1e-12).all()
    assert (banded["sound"] <= banded["high"] + 1e-12).all()
    order = list(range(len(table)))
    random.shuffle(order)
    shuffled = life_curve(table.iloc[order])
    pd.testing.assert_frame_equal(shuffled, curve, check_exact=False, rtol=1e-9)
