"""Life curves, log-rank and proportional hazards against print and independent programs."""

import numpy as np
import pandas as pd
import pytest

from corrosion.comparison.hazards import proportional_hazards
from corrosion.comparison.survival import life_curve, log_rank
from corrosion.comparison.turnbull import turnbull
from tests.curves import sound_at
from tests.published import printed_data as data
from tests.published.lifelines import data_set


@pytest.fixture(scope="module")
def psychiatric():
    """Return 26 patients watched from the age at admission, as lives in years of age."""
    table = data_set("psychiatric_patients")
    age = (table["Age"] + table["T"]).astype(float)
    high = np.where(table["C"] == 1, age, np.inf)
    return pd.DataFrame(
        {"hull_id": table.index, "entry": table["Age"].astype(float), "low": age, "high": high}
    )


@pytest.mark.parametrize(("age", "sound"), [(57, 0.7833), (63, 0.5539), (69, 0.2908)])
def test_kaplan_meier_with_late_entry_gives_the_curve_of_the_psychiatric_patients(
    psychiatric, age, sound
):
    # Klein and Moeschberger, data 1.15; values of two programs
    assert len(psychiatric) == 26
    assert sound_at(life_curve(psychiatric), age)["all"] == pytest.approx(sound, abs=5e-5)


@pytest.mark.parametrize(("age", "sound"), [(57, 0.7833), (63, 0.5539), (69, 0.2908)])
def test_turnbull_on_exact_lives_with_late_entry_is_kaplan_meier(psychiatric, age, sound):
    # Klein and Moeschberger, data 1.15; values of two programs
    lives = turnbull(psychiatric["low"], psychiatric["high"], psychiatric["entry"])
    assert lives[lives["to"] <= age]["sound"].iloc[-1] == pytest.approx(sound, abs=5e-5)


def test_heat_exchanger_tubes_give_the_printed_share_cracked_by_each_year():
    # Meeker and Escobar (1998), heat-exchanger tubes: .01333 .03838 .05820 (two programs)
    tubes = data.heat_exchanger_tubes()
    cracked = 1.0 - turnbull(tubes["low"], tubes["high"])["sound"].to_numpy()
    np.testing.assert_allclose(cracked[:3], [0.01333, 0.03838, 0.05820], rtol=0, atol=5e-6)


def test_freireich_remissions_give_the_printed_log_rank():
    # Freireich et al. (1963), 42 patients; chi-square of two programs
    lives = data.freireich_remissions()
    assert lives.groupby("group").size().tolist() == [21, 21]
    result = log_rank(lives, "group")
    assert result.chi_square == pytest.approx(16.79294, abs=5e-6)
    assert (result.degrees, result.lives, result.worn) == (1, 42, 30)


@pytest.fixture(scope="module")
def rossi():
    """Fit Cox's model to 432 convicts followed for a year, with all seven columns."""
    table = data_set("rossi")
    week = table["week"].astype(float)
    high = np.where(table["arrest"] == 1, week, np.inf)
    lives = table.assign(low=week, high=high, entry=0.0, hull_id=table.index)
    columns = ["fin", "age", "race", "wexp", "mar", "paro", "prio"]
    return proportional_hazards(lives, columns, by_hull=False)


@pytest.mark.parametrize(
    ("column", "estimate"), [("fin", -0.37942), ("age", -0.05744), ("prio", 0.09150)]
)
def test_proportional_hazards_with_efron_ties_give_the_printed_rossi_effects(
    rossi, column, estimate
):
    # Rossi et al. recidivism data, as printed in the lifelines documentation and by R's coxph
    effects = rossi.effects.set_index("term")["estimate"]
    assert effects[column] == pytest.approx(estimate, abs=5e-6)


def test_proportional_hazards_with_efron_ties_give_the_printed_rossi_log_likelihood(rossi):
    # the same
    assert rossi.log_likelihood == pytest.approx(-658.7477, abs=5e-5)
    assert (rossi.lives, rossi.worn, rossi.converged) == (432, 114, True)
