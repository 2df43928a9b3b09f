"""What the page about moorings shows, against print and an independent program."""

from pathlib import Path

import gsw
import numpy as np
import pandas as pd
import pytest

from corrosion.comparison.moorings.study import _hazards, _log_rank
from corrosion.comparison.moorings.water_record import water_kept, water_record
from corrosion.forecast.appraisal import appraise
from tests.published import printed_data as data
from tests.wearing import Group, wearing_fleet

pytestmark = pytest.mark.slow


def sampled(folder: Path, *samples: dict[str, float]):
    fleet = wearing_fleet(Group("A", "salt", 1, 1, 0.01), days=20)
    for day, sample in enumerate(samples):
        fleet.sample("A", str(pd.Timestamp("2031-04-02") + pd.Timedelta(hours=6 * day)), **sample)
    return appraise(fleet.write(folder), "2031-04-21").checked


def test_a_conductivity_turned_to_25_degrees_by_the_meter_is_read_so(tmp_path: Path) -> None:
    # 53.0 mS/cm at 25 C: practical salinity 34.9 (gsw 3.6); read at 15 C it would be 44.4
    row = {"conductivity_ms_per_cm": 53.0, "temperature_c": 15.0}
    checked = sampled(tmp_path, row | {"conductivity_at_25c": True}, row)
    salinity = water_record(checked)["salinity"]
    assert salinity[0] == pytest.approx(35.0, abs=0.2)
    assert salinity[1] > 44.0


def test_a_logged_conductivity_of_42_914_at_15_degrees_shows_as_sea_water_of_35(
    tmp_path: Path,
) -> None:
    # UNESCO technical papers in marine science 44: C(35, 15 C, 0) = 42.914 mS/cm, IPTS-68, which
    # a thermometer of today reads as 15 / 1.00024; TEOS-10 manual (2010): 35 is 35.16504 g/kg
    checked = sampled(tmp_path, {"conductivity_ms_per_cm": 42.914, "temperature_c": 15.0 / 1.00024})
    row = water_record(checked).iloc[0]
    assert row["salinity"] == pytest.approx(35.16504, abs=5e-6)
    assert (row["how"], row["zone"]) == ("from conductivity", "euhaline")


def test_salinities_worked_out_from_the_log_agree_with_gsw(tmp_path: Path) -> None:
    # gsw 3.6 (TEOS-10): reference salinity of the practical salinity, at the surface
    pairs = [(c, t) for c in (5.0, 12.0, 25.0, 40.0) for t in (2.0, 9.0, 16.0, 23.0)]
    checked = sampled(
        tmp_path, *({"conductivity_ms_per_cm": c, "temperature_c": t} for c, t in pairs)
    )
    theirs = gsw.SR_from_SP([gsw.SP_from_C(c, t, 0.0) for c, t in pairs])
    np.testing.assert_allclose(water_record(checked)["salinity"], theirs, rtol=1e-9)


@pytest.mark.parametrize(
    ("per_mille", "zone"),
    [(0.3, "fresh"), (3.0, "oligohaline"), (10.0, "mesohaline"), (25.0, "polyhaline"),
     (33.0, "euhaline")],
)  # fmt: skip
def test_waters_of_the_log_carry_their_names_of_the_venice_system(
    tmp_path: Path, per_mille: float, zone: str
) -> None:
    # Venice System (1958): 0.5, 5, 18, 30, 40 per mille
    checked = sampled(tmp_path, {"salinity_g_per_kg": per_mille})
    assert water_kept(checked)["zone"].iloc[0] == zone


@pytest.fixture(scope="module")
def remissions() -> pd.DataFrame:
    """Give Freireich's 42 patients as lives at two moorings, each on a hull of its own."""
    lives = data.freireich_remissions()
    return lives.assign(mooring_id=lives["group"].astype(str), hull_id=range(len(lives)))


def test_the_log_rank_sentence_of_the_page_gives_freireichs_chi_square(
    remissions: pd.DataFrame,
) -> None:
    # Freireich et al. (1963): chi-square 16.79 on one degree of freedom
    assert "chi-square 16.8 on 1 degrees" in _log_rank(remissions)
    assert "from 30 worn of 42 lives" in _log_rank(remissions)


def test_the_hazard_ratio_of_the_page_gives_freireichs(remissions: pd.DataFrame) -> None:
    # Cox's model on the same patients, Efron's ties: 1.572 (from memory; Kleinbaum and Klein print
    # 1.572 for R's coxph), so a ratio of 4.82 or its inverse
    effects, why = _hazards(remissions)
    assert why == ""
    ratio = effects["ratio"].iloc[0]
    assert max(ratio, 1 / ratio) == pytest.approx(np.exp(1.572), rel=2e-3)
