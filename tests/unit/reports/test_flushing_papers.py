"""The notice for the dock and the owner's page: what they say, what they leave out, one page."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from corrosion.comparison.flushing import FlushingReport, report_on_flushing
from corrosion.forecast.appraisal import Appraisal
from corrosion.reports.flushing_papers import dock_notice, owner_page
from tests.demo import appraised_demo

pytestmark = pytest.mark.slow

STAMP = "Test fleet · as of Mon 16 Jun 2031, 07:10 (CET) · method 1"


@cache
def demo() -> tuple[Appraisal, FlushingReport]:
    answer = appraised_demo()
    return answer, report_on_flushing(answer)


def notice(report: FlushingReport, paper: str = "a4") -> str:
    return dock_notice(report, demo()[0], stamp=STAMP, simulated=True, paper=paper)


def open_verdict(**changes: object) -> FlushingReport:
    report = demo()[1]
    return replace(report, verdict=replace(report.verdict, **changes))


def test_the_notice_gives_one_number_with_its_range_and_the_hulls_behind_it():
    verdict = demo()[1].verdict
    text = notice(demo()[1])
    assert f"have worn {round(100 * verdict.share_saved)} % less" in text
    assert f"{verdict.hulls} hulls" in text
    assert "19 times in 20" in text


def test_the_notice_is_fair_in_what_it_leaves_out():
    text = notice(demo()[1])
    for words in ("fresh water", "back to back", "could not", "Anodes alone", "numbers are weak"):
        assert words in text


def test_the_notice_carries_the_cautions_for_a_flush():
    text = notice(demo()[1])
    for caution in ("carbon monoxide", "card on that engine", "Key and lanyard out", "hot engine"):
        assert caution in text
    assert "Decision support; does not certify a vessel fit for hire." in text


def test_neither_paper_names_a_hull_or_a_group_under_five_hulls():
    answer, report = demo()
    few = report.evidence.moorings.assign(hulls=4).iloc[:0]
    thin = replace(report, evidence=replace(report.evidence, moorings=few))
    for text in (notice(thin), owner_page(thin, answer, stamp=STAMP, simulated=True)):
        assert not set(re.findall(r"\bH\d\d\b", text))
        assert "estuary 2" not in text


@pytest.mark.parametrize(
    ("verdict", "words"),
    [("no-difference-seen", "show no difference"), ("cannot-tell", "cannot tell yet")],
)
def test_the_notice_says_so_where_there_is_no_saving_to_show(verdict, words):
    report = open_verdict(verdict=verdict, share_saved=None, low=0.0)
    assert words in notice(report)
    assert "would have worn" not in notice(report)


def test_a_fleet_without_rates_still_gets_both_papers():
    report = open_verdict(verdict="cannot-tell", share_saved=None, low=None, high=None, raw=None)
    report = replace(report, evidence=None)
    assert "Too few hulls" in notice(report)
    assert "cannot tell" in owner_page(report, demo()[0], stamp=STAMP, simulated=False)


@pytest.mark.browser
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_notice_is_exactly_one_page_on_paper(paper, tmp_path: Path):
    chromium = shutil.which("chromium")
    if chromium is None or shutil.which("pdfinfo") is None:
        pytest.skip("no Chromium or no pdfinfo here")
    page, pdf = tmp_path / "notice.html", tmp_path / "notice.pdf"
    page.write_text(notice(demo()[1], paper), encoding="utf-8")
    words = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
    subprocess.run(
        [chromium, *words, f"--print-to-pdf={pdf}", str(page)],
        check=True,
        capture_output=True,
        timeout=120,
    )
    facts = subprocess.run(["pdfinfo", str(pdf)], check=True, capture_output=True, text=True).stdout
    assert re.search(r"Pages:\s+1\b", facts)
