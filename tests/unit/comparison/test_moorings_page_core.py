"""What stands behind the page about moorings: lives, likeness, the water record, moves, words."""

import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from corrosion.common.errors import TooLittle
from corrosion.comparison.moorings import move_hulls, study_moorings
from corrosion.comparison.moorings.likeness import hulls_by_mooring, likeness
from corrosion.comparison.moorings.lives import expected_curve, mooring_lives
from corrosion.comparison.moorings.saying import carried_on, lives_apart
from corrosion.comparison.moorings.water_record import water_kept, water_record
from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.reports import charts
from tests.fleets import FleetLogs
from tests.wearing import Group, wearing_fleet

pytestmark = pytest.mark.slow

ON = "2031-07-12"
SALT, LAKE = Group("A", "salt", 6, 1, 0.03), Group("B", "fresh", 5, 2, 0.004)


def found(folder: Path, fleet: FleetLogs) -> Appraisal:
    return appraise(fleet.write(folder), ON)


@pytest.fixture(scope="module")
def two_moorings(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    return found(tmp_path_factory.mktemp("two"), wearing_fleet(SALT, LAKE))


# --- lives ------------------------------------------------------------------------------------


def test_lives_are_counted_in_engine_hours_between_the_looks_that_bracket_them(
    two_moorings: Appraisal,
) -> None:
    lives = mooring_lives(two_moorings)
    assert lives.unit == "engine hours"
    assert (lives.moved, lives.unknown) == (0, 0)
    salt = lives.table[lives.table["mooring_id"] == "A"]
    assert (salt["ended"] == "worn").all()
    # 2.6 mm at 0.03 mm an hour are 87 h, paces 0.9 to 1.1; a look every 14 days, 25.2 h apart
    assert (salt["low"] < 96.5).all()
    assert (salt["high"] > 78.5).all()
    assert (salt["high"] - salt["low"]).to_numpy() == pytest.approx(np.full(6, 25.2))
    assert np.isinf(lives.table.loc[lives.table["mooring_id"] == "B", "high"]).all()


def test_a_life_whose_hull_moved_meanwhile_belongs_to_no_mooring(tmp_path: Path) -> None:
    fleet = wearing_fleet(SALT, LAKE).berth("H07", "A", since="2031-05-01")
    lives = mooring_lives(found(tmp_path, fleet))
    assert lives.moved == 1
    assert "H07" not in set(lives.table["hull_id"])


def test_a_fitting_written_down_weeks_later_is_watched_from_then_on(tmp_path: Path) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    fleet.rows["fittings"][0]["entered_at"] = "2031-05-01"
    table = mooring_lives(found(tmp_path, fleet)).table.set_index("hull_id")
    assert table.loc["H01", "entry"] == pytest.approx(1.8 * 29)
    assert (table["entry"].drop("H01") == 0).all()


def test_a_fitting_from_before_outings_were_logged_has_hours_that_nobody_knows(
    tmp_path: Path,
) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    fleet.rows["fittings"][0]["fitted_at"] = "2031-02-01"
    lives = mooring_lives(found(tmp_path, fleet))
    assert lives.unknown == 1
    assert "H01" not in set(lives.table["hull_id"])


def test_the_model_curve_falls_from_all_sound_through_half_near_the_life_of_the_fleet(
    two_moorings: Appraisal,
) -> None:
    curve = expected_curve(two_moorings, mooring_lives(two_moorings), "A")
    assert curve["sound"].iloc[0] == 1
    assert (np.diff(curve["sound"]) <= 1e-12).all()
    half = curve.loc[curve["sound"] <= 0.5, "exposure"].iloc[0]
    assert half == pytest.approx(2.6 / 0.03, rel=0.1)


def test_the_study_draws_curves_of_compared_moorings_alone(tmp_path: Path) -> None:
    few = Group("C", "brackish", 3, 1, 0.02)
    whole = study_moorings(found(tmp_path, wearing_fleet(SALT, LAKE, few)))
    engine = whole.curves["engine"]
    assert set(engine.counted["group"]) == set(engine.endings["mooring_id"]) == {"A", "B"}
    assert set(engine.watched["group"]) == {"A", "B"}
    assert engine.log_rank.startswith("Log-rank test")
    assert engine.no_hazards.startswith("Fewer than two moorings")
    assert "hull" not in whole.curves  # no anode on that circuit was ever fitted


def test_lives_of_few_hulls_are_not_drawn_though_many_hulls_lay_there(tmp_path: Path) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    fittings = [row for row in fleet.rows["fittings"] if row["hull_id"] not in ("H07", "H08")]
    fleet.rows["fittings"] = fittings
    whole = study_moorings(found(tmp_path, fleet))
    assert whole.comparison.table.set_index("mooring_id").loc["B", "compared"]
    assert set(whole.curves["engine"].counted["group"]) == {"A"}


def test_watched_numbers_fall_and_begin_with_every_life(two_moorings: Appraisal) -> None:
    watched = study_moorings(two_moorings).curves["engine"].watched
    for name, lives in (("A", 6), ("B", 5)):
        counts = watched.loc[watched["group"] == name, "anodes"].to_numpy()
        assert counts[0] == lives
        assert (np.diff(counts) <= 0).all()


# --- likeness ---------------------------------------------------------------------------------


def test_hulls_are_described_by_what_they_did_at_each_mooring(two_moorings: Appraisal) -> None:
    table = hulls_by_mooring(two_moorings).set_index("hull_id")
    assert table.loc["H01", "hours_a_week"] == pytest.approx(1.8 * 7 * 99 / 102)
    assert table.loc["H07", "hours_a_week"] == pytest.approx(1.8 * 7 * 49 / 102)
    assert (table["flushed"] == 1).all()
    assert (table["afloat"] == 0).all()


def test_hulls_used_alike_overlap_and_hulls_used_otherwise_do_not(two_moorings: Appraisal) -> None:
    table = likeness(hulls_by_mooring(two_moorings)).set_index("mooring_id")
    assert (table["use"] == 0).all()  # every day against every other day
    assert table[["berthing", "flushing", "layout"]].to_numpy() == pytest.approx(np.ones((2, 3)))
    assert set(table["reading"]) == {"hardly alike: extrapolation"}


def test_overlap_is_all_for_the_same_mix(tmp_path: Path) -> None:
    table = likeness(
        hulls_by_mooring(found(tmp_path, wearing_fleet(SALT, Group("B", "fresh", 6, 1, 0.004))))
    )
    assert table["least"].to_numpy() == pytest.approx([1.0, 1.0])
    assert set(table["reading"]) == {"alike"}


def test_one_mooring_alone_has_nothing_to_overlap_with(tmp_path: Path) -> None:
    table = likeness(hulls_by_mooring(found(tmp_path, wearing_fleet(SALT))))
    assert table["reading"].tolist() == ["not known"]


# --- water ------------------------------------------------------------------------------------


def test_water_is_kept_with_range_names_and_what_contradicts_the_register(tmp_path: Path) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    for day, salinity in enumerate((17.0, 25.0, 29.0, 31.0), start=1):
        fleet.sample("A", f"2031-05-0{day}", salinity_g_per_kg=salinity, temperature_c=10.0 + day)
    fleet.sample("B", "2031-05-01", salinity_g_per_kg=8.0)
    water = water_kept(found(tmp_path, fleet).checked).set_index("mooring_id")
    assert water.loc["A", "zone"] == "polyhaline"
    assert water.loc["A", "zones"] == "mesohaline, polyhaline, euhaline"
    assert water.loc["A", "changes"]
    assert not water.loc["A", "disagrees"]
    assert (water.loc["A", "temperature_low"], water.loc["A", "temperature_high"]) == (11.0, 14.0)
    assert water.loc["B", "disagrees"]  # fresh in the register, mesohaline in the sample


def test_without_samples_the_register_speaks(tmp_path: Path) -> None:
    fleet = wearing_fleet(SALT)
    fleet.rows["moorings"][0]["salinity_g_per_kg"] = 33.0
    checked = found(tmp_path, fleet).checked
    assert water_record(checked).empty
    water = water_kept(checked).iloc[0]
    assert (water["samples"], water["salinity_middle"], water["zone"]) == (0, 33.0, "euhaline")


# --- moves ------------------------------------------------------------------------------------


def test_a_move_to_harder_water_wears_more_anodes_and_is_due_sooner(
    two_moorings: Appraisal,
) -> None:
    there = move_hulls(two_moorings, ["H07", "H08"], "A")
    total = there.total.iloc[0]
    assert total["before_low"] < total["before"] < total["before_high"]
    assert total["after_low"] < total["after"] < total["after_high"]
    assert total["after"] > total["before_high"]
    # 0.9 engine hours a day for a year, 2.6 mm of allowance
    assert total["after"] == pytest.approx(2 * 365 * 0.87 * 0.03 / 2.6, rel=0.3)
    assert (there.hulls["risk_then"] >= there.hulls["risk_now"]).all()
    dates = there.hulls[["pull_by_then", "pull_by_now"]].map(lambda d: d or date.max)
    assert (dates["pull_by_then"] < dates["pull_by_now"]).all()
    assert there.unknown == ""


def test_moving_a_hull_to_where_it_lies_changes_nothing(two_moorings: Appraisal) -> None:
    there = move_hulls(two_moorings, ["H01"], "A").hulls.iloc[0]
    assert there["times"] == pytest.approx(1.0)
    assert (there["times_low"], there["times_high"]) == pytest.approx((1.0, 1.0))
    assert there["risk_then"] == pytest.approx(there["risk_now"], abs=0.02)


def test_more_hulls_wear_more_anodes(two_moorings: Appraisal) -> None:
    some = move_hulls(two_moorings, ["H07"], "A").total["after"].iloc[0]
    more = move_hulls(two_moorings, ["H07", "H08", "H09"], "A").total["after"].iloc[0]
    assert more > 2 * some


def test_the_alloy_is_asked_against_the_new_water(two_moorings: Appraisal) -> None:
    alloys = move_hulls(two_moorings, ["H01"], "B").alloys
    assert alloys[["alloy", "verdict"]].to_numpy().tolist() == [["zinc", "crusts"]]
    assert alloys["positions"].tolist() == ["pencil"]


def test_magnesium_into_salt_water_is_a_stop_and_no_number(tmp_path: Path) -> None:
    fleet = wearing_fleet(SALT, LAKE)
    fleet.rows["anode_positions"][0]["alloy"] = "magnesium"
    there = move_hulls(found(tmp_path, fleet), ["H07"], "A")
    assert "a hard stop" in there.stop
    assert there.hulls.empty
    assert there.total.empty


def test_a_mooring_where_nobody_lay_is_refused(tmp_path: Path) -> None:
    appraisal = found(tmp_path, wearing_fleet(SALT).mooring("Z", "fresh"))
    with pytest.raises(TooLittle, match="no hull of the fleet ever lay at Z"):
        move_hulls(appraisal, ["H01"], "Z")


def test_no_hull_named_is_refused(two_moorings: Appraisal) -> None:
    with pytest.raises(TooLittle, match="none is chosen"):
        move_hulls(two_moorings, [], "A")


def test_a_way_of_lying_that_nobody_tried_there_has_no_pull_by(two_moorings: Appraisal) -> None:
    there = move_hulls(two_moorings, ["H07"], "A", stays="afloat")
    assert there.unknown.startswith("Nobody ever lay so at A")
    assert there.hulls["risk_then"].isna().all()
    assert there.total["after"].notna().all()


# --- pictures -----------------------------------------------------------------------


@pytest.mark.parametrize("dark", [False, True])
def test_pictures_show_every_mooring_and_sample(two_moorings: Appraisal, dark: bool) -> None:
    whole = study_moorings(two_moorings)
    table = whole.comparison.table.assign(label=whole.comparison.table["mooring_id"])
    ratios = charts.mooring_ratios(table, dark=dark)
    assert list(ratios.data[0].x) == table["adjusted_ratio"].tolist()
    assert list(ratios.data[1].x) == table["raw_ratio"].tolist()
    engine = whole.curves["engine"]
    tables = {n: getattr(engine, n) for n in ("counted", "brackets", "model", "watched")}
    panel = {name: each[each["group"] == "A"] for name, each in tables.items()}
    curves = charts.life_curves({"A": panel}, "engine hours", dark=dark)
    assert {trace.name for trace in curves.data} >= {"counted", "brackets", "model"}
    numbers = [note.text for note in curves.layout.annotations][1:]
    assert numbers == [str(n) for n in panel["watched"]["anodes"]]


def test_a_life_is_carried_on_only_where_none_was_seen_worn_and_it_is_longer_than_watched(
    tmp_path: Path,
) -> None:
    hard, mild = Group("E", "salt", 6, 1, 0.03), Group("L", "fresh", 6, 1, 0.003)
    study = study_moorings(found(tmp_path, wearing_fleet(hard, mild)))
    reach = study.reach.set_index("mooring_id")
    # 2.6 mm at 0.03 mm/h are gone in 87 h of the 178 h run; at 0.003 mm/h 0.53 mm are
    assert reach.loc["E", "worn"] == 6
    assert not reach.loc["E", "carried_on"]
    assert reach.loc["L", "worn"] == 0
    assert reach.loc["L", "carried_on"]
    assert reach.loc["L", "seen_h"] == pytest.approx(98 * 1.8, rel=0.03)
    rows = {row.mooring_id: row for row in study.comparison.table.itertuples()}
    names = {"E": "Estuary", "L": "Lake"}
    sentence = lives_apart(study, rows["E"], rows["L"], names)
    times = float(re.findall(r"more than ([0-9.]+) times", sentence)[0])
    assert times == pytest.approx(reach.loc["L", "seen_h"] / rows["E"].life_h, rel=0.05)
    assert times < rows["L"].life_h / rows["E"].life_h
    assert carried_on(study, rows["E"], "Estuary") == ""
