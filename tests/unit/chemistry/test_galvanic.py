"""Galvanic data and salinity: shapes, unknowns, refusals, inverses."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.chemistry import galvanic
from corrosion.chemistry.salinity import practical_salinity, venice_name

ALLOYS = ["zinc", "aluminium", "magnesium"]
alloys = st.sampled_from(ALLOYS)


@given(alloys, st.floats(0.001, 1000.0), st.floats(0.05, 1.0))
def test_current_and_wear_are_each_others_inverse(alloy, wear_mm, efficiency):
    current = galvanic.current_density_a_per_m2(wear_mm, alloy, efficiency)
    assert galvanic.wear_rate_mm_per_year(current, alloy, efficiency) == pytest.approx(wear_mm)


@given(alloys, st.floats(0.05, 0.99))
def test_a_less_efficient_anode_wears_faster(alloy, efficiency):
    slow = galvanic.wear_rate_mm_per_year(1.0, alloy, 1.0)
    assert galvanic.wear_rate_mm_per_year(1.0, alloy, efficiency) > slow


def test_wear_keeps_the_shape_of_its_currents():
    assert galvanic.wear_rate_mm_per_year(np.ones((2, 3)), "zinc").shape == (2, 3)


def test_every_alloy_has_advice_for_every_water_with_why_and_source():
    table = galvanic.ALLOYS_AND_WATERS
    assert len(table) == 9
    assert not table.duplicated(["alloy", "water"]).any()
    assert set(table["alloy"]) == set(ALLOYS) == set(galvanic.METALS) == set(galvanic.CAUTIONS)
    assert set(table["water"]) == {"salt", "brackish", "fresh"}
    assert (table["why"].str.len() > 10).all()
    assert (table["source"] == "common practice, no source").all()


@pytest.mark.parametrize(
    ("alloy", "water", "stop"),
    [("zinc", "salt", False), ("zinc", "fresh", True), ("magnesium", "fresh", False)],
)
def test_advice_stops_where_the_alloy_does_not_protect(alloy, water, stop):
    assert galvanic.advise(alloy, water).stop is stop


def test_an_alloy_that_is_not_known_is_an_error():
    with pytest.raises(ValueError, match="no advice for alloy 'bronze' in 'salt' water"):
        galvanic.advise("bronze", "salt")


def test_a_temperature_scale_that_is_not_known_is_an_error():
    with pytest.raises(ValueError, match="'K' is neither 'ITS-90' nor 'IPTS-68'"):
        practical_salinity(1.0, 15.0, scale="K")


def test_water_that_was_not_sampled_stays_unknown():
    assert np.isnan(practical_salinity([1.0, np.nan], 15.0)).tolist() == [False, True]
    assert venice_name([35.0, np.nan]).tolist() == ["euhaline", None]


def test_pure_water_holds_no_salt():
    assert practical_salinity([0.0, -0.01], 15.0).tolist() == [0.0, 0.0]


def test_a_single_number_is_as_good_as_an_array():
    assert venice_name(3.0) == "oligohaline"
    assert practical_salinity(1.0, 15.0, scale="IPTS-68") == pytest.approx(35.0, abs=1e-6)


@given(st.floats(0.0, 1.4), st.floats(0.001, 0.2), st.floats(-1.0, 35.0))
def test_more_conductivity_is_more_salt(ratio, more, temperature_c):
    less, saltier = practical_salinity([ratio, ratio + more], temperature_c)
    assert saltier > less
