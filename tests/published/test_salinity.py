"""Practical salinity against the printed check values and the `gsw` package; Venice names."""

import gsw
import numpy as np
import pytest

from corrosion.chemistry import salinity


@pytest.mark.parametrize(
    ("ratio", "temperature_c", "pressure_dbar", "expected"),
    [
        (1.0, 15.0, 0.0, 35.000000),
        (1.2, 20.0, 2000.0, 37.245628),
        (0.65, 5.0, 1500.0, 27.995347),
    ],
)
def test_practical_salinity_gives_the_printed_check_values(
    ratio, temperature_c, pressure_dbar, expected
):
    # UNESCO technical papers in marine science 44 (Fofonoff and Millard 1983); IPTS-68
    ours = salinity.practical_salinity(ratio, temperature_c, pressure_dbar, scale="IPTS-68")
    assert ours == pytest.approx(expected, abs=5e-7)


def test_sea_water_of_35_at_15_degrees_conducts_42_914():
    # the standard conductivity that goes with UNESCO technical papers in marine science 44
    ours = salinity.salinity_from_conductivity(42.914, 15.0, scale="IPTS-68")
    assert ours == pytest.approx(35.0, abs=5e-7)
    assert gsw.C_from_SP(35.0, 15.0 / 1.00024, 0.0) == pytest.approx(42.914, abs=5e-4)


def test_salinity_agrees_with_gsw_over_the_range_of_the_scale():
    # gsw 3.6 (TEOS-10), which takes ITS-90; the whole grid of fresh-ish to salty, cold to warm
    c, t, p = np.meshgrid(np.linspace(5, 60, 12), np.linspace(-1, 35, 10), [0.0, 50.0, 1000.0])
    theirs = gsw.SP_from_C(c, t, p)
    inside = (theirs > 2.05) & (theirs < 42.0)
    assert inside.sum() > 150
    ours = salinity.salinity_from_conductivity(c, t, p)
    np.testing.assert_allclose(ours[inside], theirs[inside], rtol=0, atol=1e-9)


def test_fresh_water_agrees_with_gsw_to_a_thousandth():
    # below salinity 2 both use Hill, Dauphinee and Woods (1986); gsw scales it so that it meets
    # the scale at 2, which moves it by up to one part in a thousand
    c, t = np.meshgrid([0.05, 0.1, 0.3, 0.7, 1.0, 2.0, 3.0], [0.0, 8.0, 15.0, 22.0, 30.0])
    theirs = gsw.SP_from_C(c, t, 0.0)
    fresh = theirs < 2.0
    assert fresh.sum() > 20
    ours = salinity.salinity_from_conductivity(c, t)
    np.testing.assert_allclose(ours[fresh], theirs[fresh], rtol=1e-3, atol=1e-5)


def test_a_conductivity_that_the_meter_turned_to_25_degrees_is_read_there():
    # 53.0 mS/cm at 25 C is sea water; taken as of 15 C it would be saltier than any (gsw 3.6)
    for read_at_c, at_25c in ((25.0, False), (15.0, True), (np.nan, True)):
        ours = salinity.salinity_from_conductivity(53.0, read_at_c, at_25c=at_25c)
        assert ours == pytest.approx(gsw.SP_from_C(53.0, 25.0, 0.0), abs=1e-6)
        assert ours == pytest.approx(34.9, abs=0.1)
    assert salinity.salinity_from_conductivity(53.0, 15.0) == pytest.approx(44.4, abs=0.2)


def test_grams_of_salt_agree_with_gsw():
    # reference salinity, TEOS-10 manual (2010)
    practical = np.array([0.1, 5.0, 18.0, 35.0, 41.0])
    theirs = gsw.SR_from_SP(practical)
    np.testing.assert_allclose(salinity.salinity_g_per_kg(practical), theirs, rtol=1e-12)


@pytest.mark.parametrize(
    ("per_mille", "name"),
    [
        (0.0, "fresh"), (0.49, "fresh"), (0.5, "oligohaline"), (4.9, "oligohaline"),
        (5.0, "mesohaline"), (17.9, "mesohaline"), (18.0, "polyhaline"), (29.9, "polyhaline"),
        (30.0, "euhaline"), (39.9, "euhaline"), (40.1, "hyperhaline"),
    ],
)  # fmt: skip
def test_waters_are_named_by_the_venice_system(per_mille, name):
    # Venice System (1958): Archivio di Oceanografia e Limnologia 11, supplement (place from memory)
    assert salinity.venice_name([per_mille])[0] == name
