"""The same mistakes on fleets of other kinds: coarse calipers, looks by eye, one season, few hulls.

What has to be reached is what is said in `test_objections`.
"""

import pytest

from tests.known_truth.objections_study import checked, score, spoilt
from tests.known_truth.test_objections import FALSE_SHARE, FOUND_CHANGES

KINDS = ("coarse", "rounded", "gamma", "one_season", "many_moorings")


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_mistakes_are_found_on_fleets_of_other_kinds(kind: str) -> None:
    fleet = spoilt(kind, 51, hulls=20)
    seen = score(fleet, checked(fleet))
    assert seen["inches_found"] == seen["inches"]
    assert seen["hours_found"] == seen["hours"]
    assert seen["pairs_found"] == int(str(seen["pairs"])) / 2
    assert int(str(seen["changes_found"])) >= FOUND_CHANGES * int(str(seen["changes"]))
    assert int(str(seen["objected"])) < FALSE_SHARE * int(str(seen["sound"]))
