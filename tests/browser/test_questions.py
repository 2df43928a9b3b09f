"""Every question of the people who use it is answered on the demo fleet, two presses away at most.

The questions stand as data in `questions`; each page is opened once and asked them all.
"""

import re
from collections.abc import Callable
from itertools import groupby

from playwright.sync_api import Page, expect

from tests.browser.questions import QUESTIONS, Question
from tests.browser.serving import FOOT, SLOW_MS, Server, Watched, arrive, pick

WORDS = """main => {
    const words = [];
    const walk = node => {
        if (node.nodeType === Node.TEXT_NODE) words.push(node.textContent);
        if (["STYLE", "SCRIPT"].includes(node.tagName)) return;
        for (const inside of node.shadowRoot?.childNodes ?? []) walk(inside);
        for (const inside of node.childNodes) walk(inside);
        if (/^(P|T[DR]|LI|H[123]|SMALL|B|DIV|text)$/.test(node.tagName)) words.push(" ");
    };
    walk(main);
    return words.join("").replace(/\\s+/g, " ");
}"""
"""What stands on the page, lists in their own trees included, folded lines as far as unfolded."""


def test_no_question_is_more_than_two_presses_away() -> None:
    assert [each for each in QUESTIONS if each.presses > 2] == []
    assert {each.who for each in QUESTIONS} == {
        *("manager", "mechanic", "dock", "owner", "auditor", "statistician"),
    }


def test_every_question_is_answered(tab: Watched, server: Server) -> None:
    page, open_now = tab.page, ("", "")
    unanswered: list[tuple[str, str]] = []
    arrive(page, server.address, page.get_by_role("heading", name="This week", level=1))
    expect(page.locator("tr[data-open]:visible").first).to_be_visible(timeout=SLOW_MS)
    for (name, hull), questions in groupby(QUESTIONS_BY_PLACE, key=place):
        if (name, hull) != open_now:
            _go(tab, server, name, hull)
            open_now = (name, hull)
        papers: dict[str, str] = {}
        unanswered += [
            (each.who, each.asks) for each in questions if not _answered(page, each, papers)
        ]
    assert not unanswered
    assert not tab.wrong


def place(question: Question) -> tuple[str, str]:
    """Where the question is put: a page and a hull."""
    return question.page, question.hull


QUESTIONS_BY_PLACE = sorted(QUESTIONS, key=lambda question: (place(question), question.then))


def _go(tab: Watched, server: Server, name: str, hull: str) -> None:
    """Press on the page's name, or on the hull where the front door or that page shows it."""
    page = tab.page
    page.get_by_role("link", name=name or "This week", exact=True).click()
    heading = page.get_by_role("heading", name=name or "This week", level=1)
    expect(heading).to_be_visible(timeout=SLOW_MS)
    if hull:
        page.locator(f"a[data-open={hull}]:visible").first.click(timeout=SLOW_MS)
        expect(page.locator(".st-key-answer")).to_contain_text(hull, timeout=SLOW_MS)
    expect(page.get_by_text(FOOT)).to_be_visible(timeout=SLOW_MS)


def _answered(page: Page, question: Question, papers: dict[str, str]) -> bool:
    """Press what the question says and look for its answer; a paper is taken along once."""
    if not question.then:
        return _says(lambda: _words(page), page, question.answer)
    paper = page.locator("[data-testid=stDownloadButton]:visible").get_by_role("button")
    paper = paper.filter(has_text=question.then)
    if paper.count() and question.then not in papers:
        with page.expect_download(timeout=SLOW_MS) as started:
            paper.first.click()
        sheet = re.sub(r"<[^>]+>", " ", started.value.path().read_text("utf-8"))
        papers[question.then] = re.sub(r"\s+", " ", sheet)
    if question.then in papers:
        return re.search(question.answer, papers[question.then]) is not None
    line = page.locator("summary:visible").filter(has_text=question.then)
    if not line.count():
        pick(page, question.then)
    elif line.first.locator("xpath=..").get_attribute("open") is None:
        line.first.click()
    return _says(lambda: _words(page), page, question.answer)


def _words(page: Page) -> str:
    return str(page.locator("[data-testid=stMain]").evaluate(WORDS))


def _says(words: Callable[[], str], page: Page, answer: str, tries: int = 60) -> bool:
    """Wait until the words are there: pages draw themselves from top to foot."""
    for _ in range(tries):
        if re.search(answer, words()):
            return True
        page.wait_for_timeout(250)
    return False
