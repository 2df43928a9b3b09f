"""What the tests of this folder share."""

from __future__ import annotations

import pytest

from tests.known_truth.simulator import KINDS, TrueFleet
from tests.known_truth.small import small


@pytest.fixture(params=sorted(KINDS))
def fleet(request: pytest.FixtureRequest) -> TrueFleet:
    """A small fleet of each kind in turn."""
    return small(request.param)
