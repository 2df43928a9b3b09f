"""The same logs get the same answers: a constant that moves a decision does not change unseen."""

import json
from pathlib import Path

import pytest

from tests.unit.recorded import FILE, answers, distance, moved


@pytest.mark.parametrize(
    "kind",
    ["standard", *(pytest.param(k, marks=pytest.mark.slow) for k in ("engine_afloat", "messy"))],
)
def test_the_answers_are_those_that_were_recorded(kind: str, tmp_path: Path) -> None:
    was = json.loads(FILE.read_text(encoding="utf-8"))[kind]
    lines = moved(was, json.loads(json.dumps(answers(kind, tmp_path), default=str)))
    assert not lines, (
        f"{len(lines)} cells moved. If that is meant, say why in the commit and record them anew "
        "(python -m tests.unit.recorded). The farthest:\n" + "\n".join(lines[:15])
    )


def test_what_moved_is_said_by_hull_column_and_distance() -> None:
    was = {"rank": [{"hull_id": "H1", "risk": 0.10, "pull_by": "2031-06-01", "why": "a b c d"}]}
    now = {"rank": [{"hull_id": "H1", "risk": 0.25, "pull_by": "2031-06-04", "why": "e f g h"}]}
    assert moved(was, now) == [
        "rank H1 pull_by: '2031-06-01', now '2031-06-04'",
        "rank H1 risk: 0.1, now 0.25",
    ]
    assert moved(was, was) == []
    assert distance([{"share": 0.4}], [{"share": 0.4 + 1e-12}]) < 1e-9
    assert distance([{"share": 0.4}], [{"share": 0.5}]) == pytest.approx(0.1)
    assert distance([0.4], [0.4, 0.4]) == float("inf")
    assert distance(None, 1.0) == float("inf")
