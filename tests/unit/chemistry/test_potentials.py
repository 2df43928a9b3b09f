"""What a potential, a contact resistance and a wear rate mean."""

import numpy as np
import pandas as pd
import pytest
from scipy import constants, stats

from corrosion.chemistry.drift import potential_drift
from corrosion.chemistry.galvanic import METALS
from corrosion.chemistry.measured import measured_meanings
from corrosion.chemistry.potentials import (
    MV_A_DECADE,
    contact_means,
    in_brackish_water,
    mass_lost_g,
    mean_current_ma,
    potential_means,
    wear_means,
)
from corrosion.records.logbook import read_fleet
from tests.fleets import usual_fleet


@pytest.mark.parametrize(
    ("mv", "says", "alarm"),
    [
        (-1020.0, "at the anode's own potential", False),  # zinc -1.03 V, printed
        (-880.0, "protected by the usual criterion", False),  # -800 mV, from memory
        (-600.0, "does not reach", True),
        (-1300.0, "protected, and too negative", True),
        (-1095.0, "lies below what this anode can do", True),
        (300.0, "leads may be swapped", True),
    ],
)
def test_a_potential_is_read_against_the_alloys_own_and_the_criterion_for_steel(mv, says, alarm):
    # Pipeline Rules of Thumb Handbook, p. 206 table 3; NACE SP0176 and EN 12473 from memory
    meaning = potential_means(mv, "zinc")
    assert says in meaning.says
    assert meaning.alarm is alarm
    assert meaning.source


@pytest.mark.parametrize(("mv", "alloy"), [(-1500.0, "magnesium"), (-1150.0, "aluminium")])
def test_what_is_too_negative_is_protected_and_an_alarm_whatever_the_anode(mv, alloy):
    # usual window -550 to -1100 mV with mixed metals (trade press, seen in print); aluminium -950
    # to -1100 mV (boat standard, from memory)
    meaning = potential_means(mv, alloy)
    assert "protected, and too negative" in meaning.says
    assert "magnesium, a charger or an impressed source" in meaning.says
    assert meaning.alarm


@pytest.mark.parametrize(
    ("mv", "metal", "alarm"),
    [
        (-850.0, None, False),
        (-850.0, "steel", False),
        (-850.0, "aluminium", True),  # boat standard, from memory: -950 to -1100 mV
        (-960.0, "aluminium", False),
        (-600.0, "bronze", False),  # usual window of mixed metals from -550 mV (trade press)
        (-600.0, "steel", True),
    ],
)
def test_a_potential_is_read_against_the_metal_that_was_touched(mv, metal, alarm):
    meaning = potential_means(mv, "zinc", metal)
    assert meaning.alarm is alarm
    assert (metal or "steel") in meaning.says
    assert ("write down which metal was touched" in meaning.says) is (metal is None)


def test_in_brackish_water_the_shift_of_the_reference_is_said_and_can_alarm():
    # Nernst: R T ln(10) / F at 25 C a tenfold of chloride, against sea water of 35 g/kg
    tenfold = 1000 * constants.R * 298.15 * np.log(10) / constants.value("Faraday constant")
    assert pytest.approx(tenfold, abs=0.05) == MV_A_DECADE
    assert in_brackish_water(-830.0, "zinc", "steel", 20.0) == potential_means(
        -830.0, "zinc", "steel"
    )
    meaning = in_brackish_water(-830.0, "zinc", "steel", 3.5)
    assert "59 mV too negative: about -771 mV as at sea" in meaning.says
    assert meaning.alarm
    unknown = in_brackish_water(-830.0, "zinc", "steel", np.nan)
    assert "sample the water" in unknown.says
    assert not unknown.alarm


def test_more_current_than_the_handbook_gives_is_noted_below_the_alarm():
    # Pipeline Rules of Thumb Handbook, p. 206 table 3: zinc to 600 mA/ft2, 6.5 A/m2
    assert "more than the handbook gives for zinc" in wear_means(11.0, "zinc").says


def test_an_ampere_hour_takes_as_much_zinc_as_faraday_says():
    # M / (z F), standard atomic mass and the Faraday constant (CODATA), at 95 % efficiency
    grams = 65.38 / (2 * constants.physical_constants["Faraday constant"][0]) * 3600
    assert mass_lost_g(1000.0, 1 / 24, "zinc") * METALS["zinc"].efficiency == pytest.approx(grams)


@pytest.mark.parametrize("alloy", METALS)
def test_wear_and_current_turn_into_each_other_and_back(alloy):
    assert mean_current_ma(mass_lost_g(7.0, 30.0, alloy), 30.0, alloy) == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("wear", "alarm"), [(0.05, True), (1.58, False), (11.0, False), (30.0, True), (170.0, True)]
)
def test_wear_that_no_current_explains_or_that_nothing_causes_asks_for_a_look(wear, alarm):
    # 1 A/m2 takes 1.58 mm a year of zinc at 95 % (calculated); 0.08 mm: common practice, no source
    assert wear_means(wear, "zinc").alarm is alarm


def test_a_contact_is_read_against_its_sisters_first():
    # boat standard, from memory; 0.25 V of drive at 100 mA loses 40 % over 1 ohm (Ohm's law)
    assert contact_means(0.1).says == "0.1 ohm: good contact."
    assert "takes 40% of a drive" in contact_means(1.0).says
    assert contact_means(1.0).alarm is False
    assert contact_means(2.0).alarm is True
    assert contact_means(0.9, sisters_ohm=0.1).alarm is True
    assert "this fleet's own readings" in contact_means(0.9, sisters_ohm=0.1).source


def test_the_drift_is_the_line_of_a_reference_library(tmp_path):
    # scipy.stats.linregress, reference library; months of 365.25 / 12 days
    days = [0, 30, 60, 95, 130]
    values = [-990.0, -970.0, -955.0, -930.0, -905.0]
    fleet = usual_fleet(1)
    for day, mv in zip(days, values, strict=True):
        at = pd.Timestamp("2031-04-02") + pd.Timedelta(days=day)
        fleet.reading("H1", "plate", f"{at:%Y-%m-%d}", 14.5, potential_mv=mv)
    drift = potential_drift(read_fleet(fleet.write(tmp_path), "2031-09-01")).iloc[0]
    line = stats.linregress(np.array(days) * 12 / 365.25, values)
    assert drift["mv_per_month"] == pytest.approx(line.slope)
    assert drift["low"] < line.slope < drift["high"]
    assert bool(drift["fades"])


def test_every_newest_reading_gets_a_sentence_and_alarms_come_first(tmp_path):
    fleet = usual_fleet(2)
    fleet.reading("H1", "plate", "2031-05-01", 14.5, potential_mv=-1000.0, bond_ohm=0.1)
    fleet.reading("H1", "plate", "2031-06-01", 14.4, potential_mv=-650.0)
    fleet.reading("H2", "plate", "2031-06-01", 14.4, bond_ohm=5.0)
    table = measured_meanings(read_fleet(fleet.write(tmp_path), "2031-07-01"))
    assert list(table["alarm"]) == [True, True, False]
    assert set(table.loc[table["alarm"], "hull_id"]) == {"H1", "H2"}
    assert "-650 mV" in table.loc[table["what"] == "potential", "says"].iloc[0]


def test_a_fleet_without_a_meter_has_no_meanings_and_no_drift(tmp_path):
    logbook = read_fleet(usual_fleet(1).write(tmp_path), "2031-07-01")
    assert measured_meanings(logbook).empty
    assert potential_drift(logbook).empty


def test_in_fresh_water_the_criterion_for_sea_water_is_not_used(tmp_path):
    fleet = usual_fleet(3).reading("H3", "plate", "2031-05-01", 14.5, potential_mv=-500.0)
    table = measured_meanings(read_fleet(fleet.write(tmp_path), "2031-07-01"))
    assert "criterion for sea water does not hold" in table["says"].iloc[0]
    assert not table["alarm"].iloc[0]


def test_readings_are_read_by_the_alloy_fitted_the_metal_touched_and_the_water(tmp_path):
    fleet = usual_fleet(2).sample("B", "2031-05-01", salinity_g_per_kg=4.0)
    fleet.fitting("H1", "plate", "2031-04-20", alloy="aluminium")
    fleet.reading("H1", "plate", "2031-06-01", potential_mv=-900.0, touched_metal="aluminium")
    fleet.reading("H2", "plate", "2031-06-01", potential_mv=-830.0, touched_metal="steel")
    table = measured_meanings(read_fleet(fleet.write(tmp_path), "2031-07-01"))
    says = table.set_index("hull_id")["says"]
    assert "the aluminium anode's own potential" in says["H1"]
    assert "criterion for aluminium" in says["H1"]
    assert "In water of 4 g/kg" in says["H2"]
    assert table["alarm"].all()
