"""One form is one row: two taps, two runs of the page at once, two tabs, and another after it."""

import threading
from pathlib import Path

import pandas as pd
import pytest

from corrosion.common import ClockReading
from corrosion.data_entry import Desk, Draft, desk_of, draft
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from pages._shared import entry
from pages._shared.entry import Book, enter
from tests.fleets import usual_fleet
from tests.pages.reading import Standing

pytestmark = pytest.mark.slow

NOW = pd.Timestamp("2031-06-02 12:00", tz="UTC")


@pytest.fixture
def folder(standing: Standing) -> Path:
    return standing(usual_fleet(2).season("H1", "2031-05-01", 20))


def sit(folder: Path) -> Desk:
    # an entry counts from its moment on; the next look at the logs is a little later
    return desk_of(check_logs(read_fleet(folder, NOW + pd.Timedelta(hours=1))), None, NOW)


def flush(desk: Desk, minutes: str = "6") -> Draft:
    filled = {"hull_id": "H1", "at": ClockReading(NOW), "done": "yes", "minutes": minutes}
    return draft("flush", filled, desk)


def rows(folder: Path) -> list[float]:
    history = read_fleet(folder, NOW + pd.Timedelta(hours=1)).history
    return sorted(history["flushes"]["minutes"])


def test_two_runs_with_one_press_write_one_row_whichever_name_the_book_has_by_then(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As measured: the second run still asks while the first has written and turned the page."""
    desk, book, drawn = sit(folder), Book(kind="flush"), threading.Barrier(2, timeout=20)
    ask = entry.next_question

    def ask_beside_the_other(*given: object) -> object:
        drawn.wait()  # neither has written yet, as where two taps are 100 ms apart
        return ask(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(entry, "next_question", ask_beside_the_other)
    name, ends = book.name, []

    def press() -> None:
        done = enter(book, folder, desk, flush(desk), "dock", str, name=name)
        ends.append(done)
        book.next_form()

    runs = [threading.Thread(target=press) for _ in range(2)]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert ends == [True, True]
    assert rows(folder) == [6.0]


def test_after_write_another_the_same_again_is_a_row_of_its_own(folder: Path) -> None:
    book = Book(kind="flush")
    assert enter(book, folder, sit(folder), flush(sit(folder)), "dock", str)
    book.next_form()
    assert not enter(book, folder, sit(folder), flush(sit(folder)), "dock", str)
    assert book.question is not None
    another = next(a for a in book.question.answers if a.label.startswith("No, another"))
    assert enter(book, folder, sit(folder), another.draft, "dock", str)
    assert rows(folder) == [6.0, 6.0]


def test_a_form_sent_again_with_other_words_is_not_called_written(folder: Path) -> None:
    first, second = (Book("one browser", "flush", form="a form") for _ in range(2))
    assert first.name == second.name
    assert enter(first, folder, sit(folder), flush(sit(folder)), "dock", str)
    assert not enter(second, folder, sit(folder), flush(sit(folder), "9"), "dock", str)
    assert not second.said
    assert "then said: H1 flushed, 6 min" in second.refused
    assert rows(folder) == [6.0]
    # it is kept under the next form's name, and goes in from there
    answer = second
    assert answer.name != first.name


def test_a_row_that_came_between_asking_and_writing_is_asked_about(folder: Path) -> None:
    before = sit(folder)
    assert enter(Book("one tab"), folder, before, flush(before), "dock", str)
    other = Book("another tab")
    written = enter(other, folder, before, flush(before), "dock", str, newest=lambda: sit(folder))
    assert not written
    assert other.question is not None
    assert "in the log already" in other.question.asks
    assert rows(folder) == [6.0]


def test_the_same_form_in_another_browser_or_over_another_fleet_is_another_row() -> None:
    names = {
        Book(owner, kind, form="a form").name
        for owner in ("browser, fleet", "phone, fleet", "browser, other fleet")
        for kind in ("flush", "outing")
    }
    assert len(names) == 6
