"""A warm rerun of each page, server time, beside an empty page in the same process."""

from pathlib import Path
from tempfile import TemporaryDirectory

from streamlit.testing.v1 import AppTest

from tests.bench.clock import HOUSE, Measured, fastest, once

LONGEST_S = 60


def opened(script: Path) -> AppTest:
    return AppTest.from_file(str(script), default_timeout=LONGEST_S)


def measure() -> list[Measured]:
    app = opened(HOUSE / "app.py")
    first = once(app.run)
    if app.exception:
        raise RuntimeError(app.exception[0].value)
    with TemporaryDirectory() as folder:
        bare = Path(folder) / "bare.py"
        bare.write_text("import streamlit as st\nst.write('nothing')\n")
        empty = opened(bare)
        warm, floor = fastest(app.run, empty.run, times=15)
    return [
        Measured("front page, warm rerun", warm, "an empty page", floor, f"first {first:.2f} s")
    ]
