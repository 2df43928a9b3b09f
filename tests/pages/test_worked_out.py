"""What a page says of how its answer was worked out."""

from dataclasses import replace

import pytest

from pages._shared import worked_out
from tests.demo import appraised_demo

pytestmark = pytest.mark.slow


def test_readings_that_the_rates_do_not_know_yet_are_said_and_none_where_they_know_all() -> None:
    answer = appraised_demo()
    assert worked_out.of_today(answer) == ""
    for many, words in ((1, "1 reading."), (12, "12 readings.")):
        sentence = worked_out.of_today(replace(answer, life=replace(answer.life, resting=many)))
        assert words in sentence
        assert "from midnight on for the rates that all hulls share" in sentence
