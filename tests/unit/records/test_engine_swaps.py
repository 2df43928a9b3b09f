"""Another engine in a hull: the anodes of its circuit go with the old one."""

from pathlib import Path

import numpy as np
import pytest

from corrosion.exposure.wear import Lives, build_lives
from corrosion.forecast.appraisal import appraise
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from tests.chain import hour
from tests.fleets import usual_fleet

pytestmark = pytest.mark.slow


def swapped(folder: Path, *more: tuple[str, str, float]) -> Lives:
    """One hull whose engine was changed on 1 June, with further looks after it."""
    fleet = usual_fleet(1).season("H1", "2031-04-02", 100)
    fleet.reading("H1", "pencil", "2031-05-15 07:00", 8.0)
    fleet.reading("H1", "plate", "2031-05-15 07:00", 14.0)
    fleet.add("engine_swaps", hull_id="H1", swapped_at="2031-06-01 10:00")
    for position, at, size_mm in more:
        fleet.reading("H1", position, at, size_mm)
    return build_lives(check_logs(read_fleet(fleet.write(folder), "2031-07-01")))


def test_an_engine_takes_the_anodes_of_its_circuit_with_it(tmp_path: Path) -> None:
    lives = swapped(tmp_path).lives.set_index("position")
    assert lives.loc["pencil", "ended"] == "removed"
    assert lives.loc["pencil", "stop_h"] == hour("2031-06-01 10:00")
    assert lives.loc["plate", "ended"] == "in service"


def test_the_first_look_after_a_swap_begins_a_life_of_its_own(tmp_path: Path) -> None:
    lives = swapped(tmp_path, ("pencil", "2031-06-10 07:00", 8.8)).lives
    pencils = lives[lives["position"] == "pencil"]
    assert pencils["started"].tolist() == ["fitting", "first look"]
    assert pencils["ended"].tolist() == ["removed", "in service"]
    assert not pencils["start_known"].tolist()[1]


def test_an_anode_fitted_at_the_visit_of_the_swap_sits_in_the_new_engine(tmp_path: Path) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 100)
    fleet.add("engine_swaps", hull_id="H1", swapped_at="2031-06-01 10:00")
    fleet.fitting("H1", "pencil", "2031-06-01 08:00").reading(
        "H1", "pencil", "2031-06-20 07:00", 8.7
    )
    built = build_lives(check_logs(read_fleet(fleet.write(tmp_path), "2031-07-01")))
    pencils = built.lives[built.lives["position"] == "pencil"]
    assert pencils["ended"].tolist() == ["removed", "in service"]
    assert built.looks["life"].tolist() == [pencils.index[1]]


def test_a_larger_size_after_a_swap_is_no_growth(tmp_path: Path) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 100)
    for at, size_mm in (("2031-05-15 07:00", 7.0), ("2031-06-10 07:00", 8.8)):
        fleet.reading("H1", "pencil", at, size_mm)
    fleet.add("engine_swaps", hull_id="H1", swapped_at="2031-06-01 10:00")
    checked = check_logs(read_fleet(fleet.write(tmp_path), "2031-07-01"))
    assert not set(checked.objections["rule"]) & {"grew", "change-not-recorded"}


def test_an_anode_of_a_new_engine_that_nobody_saw_is_not_known_and_to_be_looked_at(
    tmp_path: Path,
) -> None:
    fleet = usual_fleet(3)
    for number, lost_mm in ((1, 2.0), (2, 1.2), (3, 0.1)):
        fleet.season(f"H{number}", "2031-04-02", 58)
        for day, share in ((10, 0.15), (25, 0.4), (40, 0.7), (57, 1.0)):
            at = f"2031-{4 + day // 30:02d}-{1 + day % 30:02d} 07:00"
            fleet.reading(f"H{number}", "pencil", at, round(9.0 - share * lost_mm, 2))
            fleet.reading(f"H{number}", "plate", at, round(15.0 - share * lost_mm / 2, 2))
    fleet.add("engine_swaps", hull_id="H1", swapped_at="2031-05-30 10:00")
    anodes = appraise(fleet.write(tmp_path), "2031-06-01").forecast.anodes
    own = anodes[anodes["hull_id"] == "H1"].set_index("position")
    assert np.isnan(own.loc["pencil", "worn"])
    assert own.loc["pencil", "flag"] == "unread"
    assert own.loc["plate", "worn"] > 0
