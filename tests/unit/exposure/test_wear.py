"""Facts about anode lives and the looks at them."""

import numpy as np
import pandas as pd
import pytest

from corrosion.exposure.wear import Lives, brackets
from tests.chain import hour, links
from tests.fleets import FleetLogs, usual_fleet

NEW_MM, ALLOWANCE_MM = 9.0, 2.6


def pencils(fleet: FleetLogs) -> Lives:
    """Lives and looks of the pencil of H1 alone, lives numbered from 0."""
    everything = links(fleet).lives
    lives = everything.lives[
        (everything.lives["position"] == "pencil") & (everything.lives["hull_id"] == "H1")
    ]
    looks = everything.looks[everything.looks["life"].isin(lives.index)]
    number = pd.Series(range(len(lives)), index=lives.index)
    return Lives(
        lives.reset_index(drop=True), looks.assign(life=looks["life"].map(number)).reset_index()
    )


def worn(size_mm: float) -> float:
    return (NEW_MM - size_mm) / ALLOWANCE_MM


def used() -> FleetLogs:
    """One hull that goes out daily, so that wear is no surprise."""
    return usual_fleet(1).season("H1", "2031-04-02", 58)


def test_a_fitting_starts_a_life_and_the_next_one_ends_it() -> None:
    lives = pencils(used().fitting("H1", "pencil", "2031-05-10 08:00")).lives
    assert list(lives["started"]) == ["fitting", "fitting"]
    assert list(lives["ended"]) == ["replaced", "in service"]
    assert lives["stop_h"][0] == lives["start_h"][1] == hour("2031-05-10 08:00")
    assert np.isnan(lives["stop_h"][1])
    assert list(lives["start_worn"]) == [0.0, 0.0]


def test_an_anode_fitted_used_starts_where_its_size_says() -> None:
    lives = pencils(used().fitting("H1", "pencil", "2031-05-10 08:00", size_mm=8.0)).lives
    assert lives["start_worn"][1] == pytest.approx(worn(8.0))


def test_looks_come_in_order_of_time_with_their_share_of_the_allowance() -> None:
    fleet = used().reading("H1", "pencil", "2031-05-20", 8.0)
    looks = pencils(fleet.reading("H1", "pencil", "2031-04-20", 8.6)).looks
    assert list(looks["at_h"]) == [hour("2031-04-20"), hour("2031-05-20")]
    assert list(looks["worn"]) == pytest.approx([worn(8.6), worn(8.0)])
    assert set(looks["kind"]) == {"size"}


def test_a_look_is_known_once_it_was_both_taken_and_written_down() -> None:
    fleet = used().reading("H1", "pencil", "2031-04-20", 8.6)
    fleet = fleet.reading("H1", "pencil", "2031-05-02", 8.4, entered_at="2031-05-04 07:30")
    # a clock that is behind: nothing is known before it was taken
    fleet = fleet.reading("H1", "pencil", "2031-05-20", 8.0, entered_at="2031-05-19 23:00")
    known = [hour(each) for each in ("2031-04-20", "2031-05-04 07:30", "2031-05-20")]
    assert list(pencils(fleet).looks["known_h"]) == known


def test_a_life_is_known_once_its_start_was_written_down() -> None:
    fleet = used().reading("H1", "pencil", "2031-04-20", 8.6, entered_at="2031-04-21 07:00")
    fleet = fleet.fitting("H1", "pencil", "2031-05-10 08:00", entered_at="2031-05-12 07:30")
    lives = pencils(fleet).lives
    assert list(lives["started"]) == ["fitting", "fitting"]
    assert lives["known_h"][0] == lives["start_h"][0]  # nobody says when it was written down
    assert lives["known_h"][1] == hour("2031-05-12 07:30")


def test_a_reading_at_the_minute_of_the_fitting_belongs_to_the_old_anode() -> None:
    fleet = used().reading("H1", "pencil", "2031-05-10 08:00", 7.0)
    pencil = pencils(fleet.fitting("H1", "pencil", "2031-05-10 08:00"))
    assert list(pencil.looks["life"]) == [0]
    assert list(pencil.lives["started"]) == ["fitting", "fitting"]


def test_a_new_size_at_the_minute_of_the_fitting_belongs_to_the_new_anode() -> None:
    fleet = used().reading("H1", "pencil", "2031-05-10 08:00", 9.0)
    pencil = pencils(fleet.fitting("H1", "pencil", "2031-05-10 08:00"))
    assert list(pencil.looks["life"]) == [1]


def test_the_anode_that_came_out_is_the_old_one_also_when_written_down_after_the_new() -> None:
    fleet = used().fitting("H1", "pencil", "2031-05-10 08:00")
    fleet.reading("H1", "pencil", "2031-05-10 08:40", 7.0, removed=True)
    pencil = pencils(fleet)
    assert list(pencil.looks["life"]) == [0]
    assert len(pencil.lives) == 2


def test_an_anode_taken_out_without_a_fitting_on_record_is_followed_by_a_new_one() -> None:
    fleet = used().reading("H1", "pencil", "2031-05-10 08:00", 6.6, removed=True)
    pencil = pencils(fleet.reading("H1", "pencil", "2031-05-25", 8.7))
    assert list(pencil.lives["started"]) == ["fitting", "removal"]
    assert list(pencil.looks["life"]) == [0, 1]
    assert pencil.lives["fitted_at"][1] == pd.Timestamp("2031-05-10 08:00", tz="UTC")
    assert pencil.lives["start_worn"][1] == 0.0


def test_a_size_that_grew_to_new_begins_a_life_though_nobody_wrote_the_change_down() -> None:
    fleet = used().reading("H1", "pencil", "2031-04-25", 7.6)
    fleet.reading("H1", "pencil", "2031-05-10", 6.9).reading("H1", "pencil", "2031-05-20", 8.8)
    pencil = pencils(fleet.reading("H1", "pencil", "2031-05-30", 8.3))
    assert list(pencil.lives["started"]) == ["fitting", "change"]
    assert pencil.lives["start_worn"][1] == pytest.approx(worn(8.8))
    assert pd.isna(pencil.lives["fitted_at"][1])
    # the look that shows the change starts the life, and is not counted again
    assert list(pencil.looks["life"]) == [0, 0, 1]


def unfitted() -> FleetLogs:
    fleet = used()
    fleet.rows["fittings"] = []
    return fleet


def test_without_a_fitting_the_first_sized_look_starts_the_life() -> None:
    fleet = unfitted().reading("H1", "pencil", "2031-04-20", 8.2)
    pencil = pencils(fleet.reading("H1", "pencil", "2031-05-20", 7.8))
    assert list(pencil.lives["started"]) == ["first look"]
    assert pencil.lives["start_worn"][0] == pytest.approx(worn(8.2))
    assert not pencil.lives["start_known"][0]
    assert list(pencil.looks["at_h"]) == [hour("2031-05-20")]


def test_without_fitting_and_reading_there_is_no_life() -> None:
    assert pencils(unfitted()).lives.empty


def test_a_range_by_eye_is_a_look_at_its_middle() -> None:
    fleet = used().reading("H1", "pencil", "2031-05-10", size_low_mm=7.4, size_high_mm=8.4)
    look = pencils(fleet).looks.iloc[0]
    assert look["kind"] == "range"
    assert look["worn"] == pytest.approx(worn(7.9))
    assert look["worn_low"] == pytest.approx(worn(8.4))
    assert look["worn_high"] == pytest.approx(worn(7.4))


@pytest.mark.parametrize("verdict", ["ok", "worn"])
def test_a_verdict_alone_is_a_look_without_a_size(verdict: str) -> None:
    look = pencils(used().reading("H1", "pencil", "2031-05-10", verdict=verdict)).looks.iloc[0]
    assert look["kind"] == "verdict"
    assert np.isnan(look["worn"])
    assert look["spent"] == (verdict == "worn")


def test_a_reading_that_says_nothing_is_no_look() -> None:
    assert pencils(used().reading("H1", "pencil", "2031-05-10", potential_mv=-950.0)).looks.empty


def test_brackets_lie_between_the_last_look_before_the_limit_and_the_first_at_it() -> None:
    fleet = used().reading("H1", "pencil", "2031-04-21", 7.6)
    fleet.reading("H1", "pencil", "2031-05-01", 6.9).reading("H1", "pencil", "2031-05-11", 6.3)
    row = brackets(pencils(fleet)).iloc[0]
    assert row["low_h"] == 30 * 24
    assert row["high_h"] == 40 * 24
    assert row["ended"] == "worn"


def test_an_anode_changed_before_its_limit_is_pulled_early_and_one_in_service_is_running() -> None:
    fleet = used().reading("H1", "pencil", "2031-05-01", 7.2)
    table = brackets(pencils(fleet.fitting("H1", "pencil", "2031-05-01 10:00")))
    assert list(table["ended"]) == ["pulled-early", "running"]
    assert np.isinf(table["high_h"]).all()
    assert list(table["low_h"]) == [30 * 24, 0.0]


def test_a_verdict_worn_ends_a_bracket() -> None:
    fleet = used().reading("H1", "pencil", "2031-04-21", verdict="ok")
    row = brackets(pencils(fleet.reading("H1", "pencil", "2031-05-11", verdict="worn"))).iloc[0]
    assert (row["low_h"], row["high_h"], row["ended"]) == (20 * 24, 40 * 24, "worn")


def test_brackets_leave_out_lives_whose_start_nobody_saw() -> None:
    fleet = unfitted().reading("H1", "pencil", "2031-04-20", 8.2)
    assert brackets(pencils(fleet.reading("H1", "pencil", "2031-05-20", 7.8))).empty


def test_row_order_changes_nothing() -> None:
    fleet = used().reading("H1", "pencil", "2031-04-21", 8.2)
    fleet.reading("H1", "pencil", "2031-05-10 08:00", 7.0, removed=True)
    fleet.fitting("H1", "pencil", "2031-05-10 09:00").reading("H1", "pencil", "2031-05-30", 8.5)
    first = links(fleet).lives
    for log in ("fittings", "readings", "hulls", "anode_positions"):
        fleet.rows[log].reverse()
    second = links(fleet).lives
    pd.testing.assert_frame_equal(first.lives, second.lives)
    pd.testing.assert_frame_equal(
        first.looks.drop(columns="log_row"), second.looks.drop(columns="log_row")
    )
