"""One fitted model serves many sessions at once."""

import sys
import threading
from types import SimpleNamespace

import numpy as np
import pytest

from corrosion.life_model import life
from corrosion.life_model.life import AnodeLife


def test_sessions_that_ask_at_once_each_get_the_answer_to_their_own_question(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # the last evaluation is remembered on the model: another thread may write there in between
    monkeypatch.setattr(life, "evaluate", lambda params, *_: SimpleNamespace(value=params[0]))
    model = AnodeLife.__new__(AnodeLife)
    model._last, model.design, model.moorings, model.trust = None, None, 0, None
    wrong: list[float] = []

    def ask(own: float) -> None:
        for turn in range(3000):
            params = np.array([own + turn])
            if model.evaluate(params).value != params[0]:
                wrong.append(own)

    interval = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        threads = [threading.Thread(target=ask, args=(1e6 * n,)) for n in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    finally:
        sys.setswitchinterval(interval)
    assert not wrong
