"""A desk at a season of three hulls."""

import shutil
from pathlib import Path

import pytest

from corrosion.data_entry import Desk, desk_of, expected_sizes
from corrosion.forecast.appraisal import Appraisal, appraise
from tests.fleets import FleetLogs
from tests.unit.data_entry.desk_cases import NOW, season_fleet


@pytest.fixture
def fleet() -> FleetLogs:
    return season_fleet()


@pytest.fixture(scope="session")
def answer(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    return appraise(season_fleet().write(tmp_path_factory.mktemp("season") / "fleet"), NOW)


@pytest.fixture
def desk(answer: Appraisal, tmp_path: Path) -> Desk:
    """Sit down at a copy of the fleet, which the test may write into."""
    shutil.copytree(answer.logbook.folder, tmp_path / "fleet")
    return desk_of(answer.checked, expected_sizes(answer), NOW)
