"""The demo fleet, made once for all tests that only look at it."""

from __future__ import annotations

import pytest

from demo_fleet.maker import Fleet, make_fleet


@pytest.fixture(scope="session")
def fleet() -> Fleet:
    return make_fleet()
