"""Work sheets and pick lists on paper: as many pages as they should have, and nothing cut."""

import re
from pathlib import Path
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from playwright.sync_api import Browser

from corrosion import CAUTION
from corrosion.forecast import appraise
from corrosion.reports import hull_report
from corrosion.reports.metal_left import MetalLeft
from corrosion.reports.sheets import PAPERS, Paper
from corrosion.reports.worksheets import Job, Task, pick_list, picking, work_sheets
from tests.browser.printing import PAPER_MM, printed, size_mm, texts
from tests.fleets import FleetLogs
from tests.plans import pull, pulls

STAMP = "Ferry Steps · as of Mon 2 Jun 2031, 07:30 (Europe/Lisbon) · method 1"
LOOKS = ("12 May 2031: 8.1 mm", "22 May 2031: 7.6 mm", "1 Jun 2031: by eye 6.5–7.5 mm")
GERMAN = "Abgaskrümmerkühlwassermantelopferanodenverschlussschraube"  # one word, compounded
SIDES_MM = 26.0


def task(position: str, opens: str = "", **other: object) -> Task:
    usual = {
        "do": "replace",
        "alloy": "zinc",
        "gauge": "diameter",
        "part_number": "AN-0902",
        "limit": "6.4 mm",
        "manual": "engine manual, page 42",
        "looks": LOOKS,
        "fitted": "2 Apr 2031",
        "metal": MetalLeft(0.24, 0.31, 0.38, 0.35),
    }
    return Task(position=position, opens=opens, **(usual | other))  # type: ignore[arg-type]


def job(hull_id: str = "H1", anodes: int = 1, **other: object) -> Job:
    tasks = tuple(task(f"anode-{n:02d}", f"cover {(n + 2) // 3}") for n in range(1, anodes + 1))
    usual = {
        "name": "Marram",
        "layout": "twin",
        "mooring": "E, Estuary",
        "day": "Tue 3 Jun 2031",
        "bay": 1,
        "hours": 1.5,
        "measure_first": False,
        "tasks": tasks,
        "untouched": (),
        "parts": {"AN-0902": anodes},
        "seals": {"AN-0902": anodes},
    }
    return Job(hull_id=hull_id, **(usual | other))  # type: ignore[arg-type]


def sheets(*jobs: Job, paper: Paper, simulated: bool = False) -> str:
    return work_sheets(jobs, paper=paper, stamp=STAMP, simulated=simulated)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(("anodes", "pages"), [(1, 1), (3, 1), (12, 3)])
def test_a_hull_takes_the_pages_that_it_needs_and_none_more(
    tmp_path: Path, paper: Paper, anodes: int, pages: int
) -> None:
    pdf = printed(sheets(job(anodes=anodes), paper=paper), tmp_path)
    assert len(pdf.pages) == pages
    assert size_mm(pdf) == {tuple(round(side) for side in PAPER_MM[paper])}
    every = " ".join(texts(pdf))
    assert [f"{n}. anode-{n:02d}: REPLACE" in every for n in range(1, anodes + 1)] == [
        True
    ] * anodes
    assert "Done by (role)" in every


@pytest.mark.parametrize("paper", PAPERS)
def test_a_stopped_hull_with_three_anodes_under_three_covers_keeps_to_one_page(
    tmp_path: Path, paper: Paper
) -> None:
    """The fullest sheet of a usual week; Letter is 18 mm shorter than A4."""
    parts = {f"AN-{n}": 1 for n in range(1001, 1004)}
    manual = "workshop card 11, line 2"
    tasks = tuple(
        task(name, opens, part_number=part, manual=manual)
        for (name, opens), part in zip(
            (("cooler-pencil", "cap"), ("shaft-collar", "stern"), ("jacket-pencil", "manifold")),
            parts,
            strict=True,
        )
    )
    full = job(tasks=tasks, stop="not for hire", parts=parts, seals=parts, hours=3.2)
    pages = texts(printed(sheets(full, paper=paper, simulated=True), tmp_path))
    assert len(pages) == 1
    assert pages[0].count("Open: ") == 3
    assert "Done by (role)" in pages[0]


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_is_stamped_numbered_and_carries_the_caution(
    tmp_path: Path, paper: Paper
) -> None:
    pdf = printed(sheets(job(anodes=12), job("H2"), paper=paper, simulated=True), tmp_path)
    pages = texts(pdf)
    assert len(pages) == 4
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of 4" in page
        assert CAUTION in page
        assert "method 1" in page
        assert "Simulated" in page


@pytest.mark.parametrize("paper", PAPERS)
def test_each_hull_begins_a_page_and_a_position_is_never_broken_over_two(
    tmp_path: Path, paper: Paper
) -> None:
    pages = texts(printed(sheets(job("H1", 12), job("H2", 7), paper=paper), tmp_path))
    assert sum("H2 · Marram" in page for page in pages) == 1
    for page in pages:
        begun = re.findall(r"anode-\d\d: REPLACE", page)
        assert page.count("Contact") == len(begun), page
        assert page.count("Fitted 2 Apr 2031") == len(begun)
        if begun:  # the head of the table repeats, so that a loose page tells its hull
            assert re.search(r"H[12], Tue 3 Jun 2031: what to do", page)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_of_a_set_names_its_hull_and_no_sign_off_stands_alone(
    tmp_path: Path, paper: Paper
) -> None:
    """A loose page on the dock: whose is it, and what was signed for."""
    note = "Cover off from the port side; the plug seizes, warm it first, measure at the head. " * 2
    hulls = {}
    for anodes in (3, 4, 5, 6, 9, 12):
        for manual in ("engine manual, page 42", f"engine manual, page 42. {note}"):
            hull = f"Hull-{anodes}-{len(manual)}"
            tasks = tuple(
                task(f"anode-{n:02d}", f"cover {(n + 2) // 3}", manual=manual)
                for n in range(1, anodes + 1)
            )
            hulls[hull] = job(hull, anodes, tasks=tasks, untouched=("shut-plate",))
    pages = texts(printed(sheets(*hulls.values(), paper=paper), tmp_path))
    heads = [re.match(r"Work sheet · (Hull-\d+-\d+) · Tue 3 Jun 2031", page) for page in pages]
    assert all(heads), [page[:60] for page in pages]
    named = [head[1] for head in heads if head]
    assert list(dict.fromkeys(named)) == list(hulls), "each hull begins a page of its own"
    for page, hull in zip(pages, named, strict=True):
        signed = "Done by (role)" in page
        assert not signed or "REPLACE" in page, f"{hull}: a sign-off alone on a page"
        assert signed == ("Before it goes back" in page)
    assert sum("Done by (role)" in page for page in pages) == len(hulls)


@pytest.mark.parametrize("paper", PAPERS)
def test_a_hulls_report_runs_from_the_past_to_the_hires_ahead_in_whole_words(
    tmp_path: Path, paper: Paper
) -> None:
    fleet = FleetLogs().mooring("E", "salt").position("cooler-pencil").hull("H1")
    fleet.berth("H1", "E", "lifted").fitting("H1", "cooler-pencil", "2031-04-01")
    fleet.season("H1", "2031-04-02", 60, flushed=True)
    for day in range(10, 30):
        fleet.booking("H1", f"2031-07-{day} 09:00", f"2031-07-{day} 11:00", engine_hours=2.0)
    fleet.reading("H1", "cooler-pencil", "2031-05-10", 8.4)
    html = hull_report(appraise(fleet.write(tmp_path / "fleet"), "2031-07-01"), "H1", paper)
    pages = texts(printed(html, tmp_path))
    assert all(page.startswith("Hull H1") for page in pages)
    every = " ".join(pages)
    assert every.index("Tue 1 Apr 2031") < every.index("Sat 10 May 2031, ")
    assert every.index("Sat 10 May 2031, ") < every.index("Hires and entries ahead")
    assert every.index("Hires and entries ahead") < every.index("Thu 10 Jul 2031")
    for words in (
        "Circuit Alloy New Limit Source",
        "cooler-pencil engine",
        "Chance Flag",
        "hire, ",
    ):
        assert words in every, f"{words} is broken: {every[:900]}"
    assert every.count("back from an outing") == 60, "nothing is left out"


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "name", [GERMAN, "Blåhøj på fjorden " * 4, "زورق البحر الهادئ", "🚤 Seven ⚓", "<b>&amp;</b>"]
)
def test_names_of_any_length_and_script_stay_on_the_page_in_large_type(
    browser: Browser, tmp_path: Path, paper: Paper, name: str
) -> None:
    odd = job(name=name, tasks=(task(name, name, manual=name, part_number=name),))
    html = sheets(odd, paper=paper)
    pdf = printed(html, tmp_path)
    assert len(pdf.pages) == 1
    assert "Done by (role)" in texts(pdf)[0]
    # wider than its column, Chromium would shrink the whole page, and its type with it
    with browser.new_page() as tab:
        between_mm = PAPER_MM[paper][0] - SIDES_MM
        tab.set_viewport_size({"width": int(between_mm / 25.4 * 96), "height": 900})
        tab.emulate_media(media="print")
        tab.set_content(html)
        assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")
        sizes = (
            "[...document.querySelectorAll('.work, .work *')]"
            ".map(element => parseFloat(getComputedStyle(element).fontSize))"
        )
        assert min(tab.evaluate(sizes)) >= 16.0  # 12 pt


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_without_hulls_is_one_page_that_says_so(tmp_path: Path, paper: Paper) -> None:
    pages = texts(printed(sheets(paper=paper), tmp_path))
    assert len(pages) == 1
    assert "No hull comes out on these days." in pages[0]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_pick_list_of_a_week_is_one_page_and_a_long_one_repeats_its_heads(
    tmp_path: Path, paper: Paper
) -> None:
    store = pd.DataFrame({"part_number": ["AN-1"], "mooring_id": [""], "pieces": [4]})
    few = pulls(*(pull(f"H{n}", f"2031-06-0{3 + n % 3}", parts={"AN-1": 1}) for n in range(6)))
    picks = picking(few, store, ZoneInfo("UTC"))
    page = printed(pick_list(picks, paper=paper, stamp=STAMP, simulated=False), tmp_path)
    assert len(page.pages) == 1
    assert "SHORT by 2" in texts(page)[0]
    many = pulls(*(pull("H1", "2031-06-03", parts={f"AN-{n}": 1 for n in range(2, 62)}),))
    long = picking(many, store, ZoneInfo("UTC"))
    html = pick_list(long, paper=paper, stamp=STAMP, simulated=False)
    pages = texts(printed(html, tmp_path, "long"))
    assert len(pages) > 1
    assert all("E: part" in page for page in pages if "AN-" in page)
