"""Tags for consoles: every stopped hull a page, escaped, with what lifts the stop."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pandas as pd

from corrosion import CAUTION
from corrosion.records import Settings
from corrosion.reports.stop_tags import stop_tags


def appraisal(*stopped: str) -> Any:
    since = pd.Timestamp("2031-06-09 05:00", tz="UTC")
    rows = [
        {"hull_id": name, "stop": "past-limit-read" if name in stopped else "",
         "stop_why": "pencil read at or past its limit", "stop_since": since}
        for name in ("H1", "H2", "<b>H3</b>")
    ]  # fmt: skip
    register = pd.DataFrame({"hull_id": ["H1"], "name": ["Tern"]})
    logbook = SimpleNamespace(
        settings=Settings(name="Ours"), on=since, folder=SimpleNamespace(name="ours")
    )
    return SimpleNamespace(
        forecast=SimpleNamespace(hulls=pd.DataFrame(rows)), logbook=logbook,
        checked=SimpleNamespace(hulls=register),
    )  # fmt: skip


def test_each_stopped_hull_has_a_page_and_no_other_has() -> None:
    html = stop_tags(appraisal("H1", "H2"))
    assert html.count("NOT FOR HIRE") == html.count('<section class="sheet tag">') == 2
    assert "Tern" in html
    assert "Mon 9 Jun 2031" in html
    assert "change it" in html
    assert "owner" in html
    assert CAUTION in html


def test_one_hulls_tag_can_be_had_alone() -> None:
    assert stop_tags(appraisal("H1", "H2"), hull_id="H2").count("NOT FOR HIRE") == 1


def test_a_name_stays_text() -> None:
    assert "<b>H3</b>" not in stop_tags(appraisal("<b>H3</b>"))


def test_where_nobody_is_stopped_there_is_no_tag() -> None:
    assert "NOT FOR HIRE" not in stop_tags(appraisal())
