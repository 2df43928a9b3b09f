"""Two settings forms: what both changed is shown, what one changed is kept."""

import pytest

from corrosion.common import LogRefused
from corrosion.data_entry import Clash, merged_settings, mine_over
from corrosion.records.settings import settings_of

DRAWN = 'name = "Ferry"\ntolerated_risk = 0.10  # agreed in spring\nwage_per_hour = 34.0\n'


def test_what_only_one_of_two_changed_is_kept_of_each_with_the_comments() -> None:
    theirs = DRAWN.replace("0.10", "0.05")
    mine = DRAWN.replace("34.0", "36.0")
    both = merged_settings(DRAWN, theirs, mine)
    assert both.clashes == ()
    assert both.others == ("tolerated_risk",)
    settings = settings_of(both.text)
    assert (settings.tolerated_risk, settings.wage_per_hour) == (0.05, 36.0)
    assert "# agreed in spring" in both.text


def test_what_both_changed_is_shown_and_not_written() -> None:
    theirs, mine = DRAWN.replace("0.10", "0.05"), DRAWN.replace("0.10", "0.2")
    both = merged_settings(DRAWN, theirs, mine)
    assert both.clashes == (Clash("tolerated_risk", "0.1", "0.05", "0.2"),)
    assert settings_of(both.text).tolerated_risk == 0.05
    assert settings_of(mine_over(DRAWN, theirs, mine)).tolerated_risk == 0.2


def test_the_same_change_twice_is_no_clash() -> None:
    theirs = DRAWN.replace("0.10", "0.05")
    assert merged_settings(DRAWN, theirs, theirs).clashes == ()


def test_a_key_taken_out_by_one_and_changed_by_the_other_is_a_clash() -> None:
    theirs = DRAWN.replace("wage_per_hour = 34.0\n", "")
    mine = DRAWN.replace("34.0", "36.0")
    assert merged_settings(DRAWN, theirs, mine).clashes[0] == Clash(
        "wage_per_hour", "34.0", "nothing", "36.0"
    )


def test_a_file_that_nobody_touched_is_written_as_typed() -> None:
    assert merged_settings(DRAWN, DRAWN, "name = 'x'").text == "name = 'x'"


def test_what_is_no_toml_is_refused() -> None:
    with pytest.raises(LogRefused, match="not valid TOML"):
        merged_settings(DRAWN, DRAWN + "\nx = 1", "= =")
