"""Another assumption changes the list the way it must, at no other cost."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.forecast.prospects import forecast_fleet
from corrosion.forecast.usage_forecast import use_ahead
from corrosion.forecast.whatif import what_if
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def stands(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    fleet = FleetLogs().mooring("E", "salt").position("pencil", gauge="diameter")
    for number in range(4):
        hull = f"H{number}"
        fleet.hull(hull).berth(hull, "E", "lifted").fitting(hull, "pencil", "2031-04-01")
        fleet.season(hull, "2031-04-02", 60, flushed=number % 2 == 0)
        for day, size in (("2031-04-20", 8.7), ("2031-05-10", 8.2), ("2031-05-25", 7.8)):
            fleet.reading(hull, "pencil", day, size - 0.1 * number)
    return appraise(fleet.write(tmp_path_factory.mktemp("whatif")), "2031-06-01", 14)


def widened(stands: Appraisal, by: float) -> Appraisal:
    """Return the same fleet as a track record that asks for wider ranges would have it."""
    fit = replace(stands.life, widen=by)
    ahead = use_ahead(stands.checked, stands.exposure, stands.forecast.days)
    return replace(stands, life=fit, forecast=forecast_fleet(fit, stands.checked, ahead, 14))


def test_asking_for_no_change_moves_nothing_where_a_record_widens_the_ranges(stands):
    wide = widened(stands, 1.6)
    same = what_if(wide)
    assert same.changed["risk"].equals(same.changed["risk_then"])
    faster = what_if(wide, worse_by=0.3).changed
    assert (faster["risk_then"] >= faster["risk"] - 1e-9).all()


def test_no_other_assumption_gives_the_forecast_that_stands(stands):
    same = what_if(stands).forecast
    pd.testing.assert_frame_equal(same.anodes, stands.forecast.anodes)
    pd.testing.assert_frame_equal(same.hulls, stands.forecast.hulls)


@pytest.mark.parametrize("other", [{"worse_by": 0.3}, {"false_flushes": 0.2}])
def test_a_worse_world_never_lowers_a_chance(stands, other):
    answer = what_if(stands, **other)
    assert (answer.changed["risk_then"] >= answer.changed["risk"] - 1e-9).all()
    assert answer.over_then >= answer.over


def test_false_flushes_touch_only_those_who_flush(stands):
    worn = what_if(stands, false_flushes=0.5).forecast.anodes.set_index("hull_id")["worn_then"]
    was = stands.forecast.anodes.set_index("hull_id")["worn_then"]
    more = (worn - was).reindex(["H0", "H1", "H2", "H3"]).to_numpy()
    assert (more[[0, 2]] > 1e-4).all()
    assert np.abs(more[[1, 3]]).max() < more[[0, 2]].min()


def test_wear_to_come_is_by_so_much_faster(stands):
    worse = what_if(stands, worse_by=0.3).forecast.anodes.set_index("hull_id")
    was = stands.forecast.anodes.set_index("hull_id")
    ahead = worse["worn_then"] - worse["worn"]
    expected = 1.3 * (was["worn_then"] - was["worn"])
    np.testing.assert_allclose(ahead, expected.reindex(ahead.index), rtol=1e-6)


def test_widening_pulls_chances_towards_even_and_leaves_the_middle(stands):
    wide = what_if(widened(stands, 2.0)).forecast
    for name in ("worn", "worn_then", "days_left_50"):
        left, right = (t.set_index("hull_id")[name] for t in (wide.anodes, stands.forecast.anodes))
        np.testing.assert_allclose(left, right.reindex(left.index), rtol=0.03)
    assert (wide.worn_sd >= stands.forecast.worn_sd).all()
