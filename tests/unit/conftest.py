"""What several tests of this folder share."""

from pathlib import Path

import pandas as pd
import pytest

from corrosion.forecast.appraisal import Appraisal, appraise
from tests.chain import Links, links_of
from tests.known_truth.simulator import TrueFleet, write
from tests.known_truth.small import small


@pytest.fixture(scope="session")
def simulated_fleet() -> TrueFleet:
    """Six hulls, 120 days, looks by caliper, by eye and by verdict."""
    return small("by_eye")


@pytest.fixture(scope="session")
def simulated_folder(simulated_fleet: TrueFleet, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write(simulated_fleet, tmp_path_factory.mktemp("simulated"))


@pytest.fixture(scope="session")
def simulated_on(simulated_fleet: TrueFleet) -> pd.Timestamp:
    """The last of the fleet's forecast dates."""
    return simulated_fleet.dates(6)[-1]


@pytest.fixture(scope="session")
def simulated(simulated_folder: Path, simulated_on: pd.Timestamp) -> Links:
    return links_of(simulated_folder, simulated_on)


@pytest.fixture(scope="session")
def appraised(simulated_folder: Path, simulated_on: pd.Timestamp) -> Appraisal:
    return appraise(simulated_folder, simulated_on, 14)
