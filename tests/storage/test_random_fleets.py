"""No fleet that can be written down brings a command to a traceback, a hang or a lost answer.

The suite draws sixteen; five hundred, or any others, by
`python -m tests.storage.random_fleets 0 500`.
"""

import warnings

import pytest

from tests.storage.random_fleets import faults_of

pytestmark = pytest.mark.slow

FLEETS_A_RUN, AT_ONCE = 16, 8


@pytest.mark.parametrize("first", range(0, FLEETS_A_RUN, AT_ONCE))
def test_a_random_fleet_is_answered_or_refused_in_one_line(first: int) -> None:
    faults = [str(fault) for seed in range(first, first + AT_ONCE) for fault in faults_of(seed)]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(("seed", "command"), [(78, "rank"), (173, "rank"), (1651, "rank")])
def test_a_fleet_that_once_failed_is_answered(seed: int, command: str) -> None:
    """173: a pace at the very foot of the curve of usual paces; 1651: an allowance of 1e-300 mm."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert not faults_of(seed, (command,))
