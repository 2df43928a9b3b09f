"""The page that sheets are printed on: escaped, stamped, on the paper asked for."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import UndefinedError
from markupsafe import Markup

from corrosion import CAUTION
from corrosion.reports.sheets import PAPERS, Paper, render, sheet
from corrosion.reports.sheets.page import css_text

STAMP = "Ferry Steps · Mon 14 Jun 2031, 07:30 · method 1"


def written(**other: object) -> str:
    usual = {"paper": "a4", "stamp": STAMP, "simulated": False}
    return sheet("Work sheets", "<p>body</p>", **(usual | other))  # type: ignore[arg-type]


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_is_set_for_its_paper(paper: Paper) -> None:
    wanted = {"a4": "size: A4 portrait", "letter": "size: letter portrait"}[paper]
    assert wanted in written(paper=paper)


def test_stamp_and_caution_stand_in_the_body_and_in_the_foot_of_every_page() -> None:
    head, _, body = written().partition("</style>")
    assert STAMP in head
    assert CAUTION in head
    assert STAMP in body
    assert CAUTION in body


def test_only_an_invented_fleet_is_called_simulated() -> None:
    assert "imulated" in written(simulated=True).partition("</style>")[2]
    assert "imulated" not in written(simulated=False)


def test_a_sheet_asks_nothing_of_another_machine_and_runs_no_script() -> None:
    text = written(simulated=True)
    text = re.sub(r"xmlns='[^']*'", "", text)  # the name of a picture's language, not an address
    for word in ("http:", "https:", "@import", "<script", "<link", "src="):
        assert word not in text
    assert not re.findall(r"url\((?!data:|\"data:)", text)


def test_a_sheet_carries_its_own_font_and_joins_no_letters() -> None:
    # the same lines and pages on every machine, and words that a search finds
    text = written()
    assert text.count('font-family: "Sheet Sans"') == 2
    assert text.count("url(data:font/woff2;base64,") == 2
    assert "font-variant-ligatures: none" in text
    assert len(text) < 60_000


def test_a_title_is_text_and_never_markup() -> None:
    text = sheet("</style><script>x</script>", "", stamp='"} b{', simulated=False)
    assert "<script" not in text
    assert text.count("</style>") == 1
    assert "&lt;script&gt;" in text


def test_values_of_a_template_are_escaped_and_a_missing_one_is_an_error() -> None:
    assert "&lt;b&gt;" in render("page.html", **_asked("<b>"))
    with pytest.raises(UndefinedError, match="is undefined"):
        render("page.html", title="x")


def test_a_sheet_may_leave_the_heading_to_its_body() -> None:
    assert "<h1>" in written()
    assert "<h1>" not in written(heading=False)


@given(st.text())
def test_text_for_a_style_sheet_cannot_end_its_quotes_or_the_style(text: str) -> None:
    inside = str(css_text(text))[1:-1]
    assert not set(inside) & set("\"'<>&\n\r\f")
    # every backslash begins an escape of one of the six letters that are acted on
    for escape in inside.split("\\")[1:]:
        assert chr(int(escape.partition(" ")[0], 16)) in "\"'\\<>&"


def _asked(title: str) -> dict[str, object]:
    words = dict.fromkeys(("paper", "stamp", "caution", "label", "lang", "faces"), "x")
    return {**words, "title": title, "body": Markup(""), "heading": True, "css_text": css_text}
