"""What a page says first is what its table under it says, to the digit shown.

Each claim is a sentence on a page and the same numbers taken from the rows, tiles or lists under
it; neither is worked out here. Three fleets: the demo, a messy one of two dozen hulls (the tests'
simulator: rows lost, doubled, misread), and three hulls that say little.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime
from html import unescape
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from tests.fleets import FleetLogs
from tests.known_truth.simulator import KINDS, simulate, write
from tests.pages.reading import Run, lists

pytestmark = pytest.mark.slow

Numbers = tuple[str, ...]
MESSY_SEED = 13
SPACES = "[\N{NARROW NO-BREAK SPACE}\N{NO-BREAK SPACE}]"


def table(app: AppTest, caption: str) -> list[list[str]]:
    """Cells of the rows of the list whose caption holds these words; no such list, no rows."""
    return [
        [_plain(cell) for cell in re.findall(r"<t[dh][ >].*?</t[dh]>", row, re.DOTALL)]
        for name, html in lists(app).items()
        if caption in unescape(name)
        for row in html.split("<tr")[1:]
        if "<td" in row
    ]


def column(app: AppTest, caption: str, number: int) -> list[str]:
    return [row[number] for row in table(app, caption)]


def count(cells: list[str], words: str) -> str:
    """How many cells hold the words; a headline leaves a count of none away."""
    return str(sum(words in cell for cell in cells))


def total(cells: list[str]) -> str:
    return str(sum(int(cell) for cell in cells))


def words_of(app: AppTest) -> str:
    """Sentences, captions, facts, links and labels of what is folded, no spaces inside numbers."""
    texts = [each.value for kind in ("markdown", "caption") for each in app.get(kind)]
    texts += [each.proto.label for each in app.get("page_link")]
    texts += [each.label for each in app.get("expander")]
    texts += [_plain(html) for html in lists(app).values() if html.startswith("<dl>")]
    return _closed(re.sub(r"\\(?=\W)", "", "\n".join(texts)))


def _plain(html: str) -> str:
    shown = re.sub(r"<svg.*?</svg>", " ", html, flags=re.DOTALL)
    spaced = _closed(unescape(re.sub(r"<[^>]+>", " ", shown)))
    return re.sub(r"\s+", " ", spaced).strip()


def _closed(text: str) -> str:
    """Text with the spaces inside numbers gone, and all others usual."""
    return re.sub(SPACES, " ", re.sub(rf"(?<=\d){SPACES}(?=\d)", "", text))


# ---- what the tables say ---------------------------------------------------------------------


def week(app: AppTest, number: int, words: str) -> str:
    """Hulls of the week's list whose cell begins with the words or, the first, ends with them."""
    cells = column(app, "Every hull that must not sail", number)
    return str(sum(cell.startswith(words) or cell.endswith(words) for cell in cells))


def standings(app: AppTest, mark: str) -> str:
    """Tiles that say this standing: the class of a stopped hull's is that of its stop."""
    html = next(html for html in lists(app).values() if 'class="tiles"' in html)
    inside = re.findall(r'<a class="tile .*?</a>', html, re.DOTALL)
    return count([_plain(tile) for tile in inside], mark)


def last_week(app: AppTest) -> Numbers:
    return tuple(
        re.findall(r"\d+", table(app, "How many hulls have an anode at its limit")[-1][-1])
    )


def walks(app: AppTest) -> list[list[str]]:
    folded = table(app, "walked on")  # of a long round
    return [*table(app, "in the order of a walk"), *folded]


def anodes(cell: str) -> int:
    """Positions in a list such as "bar, plate and plug"."""
    return len(re.split(r", | and ", cell))


def costs_row(app: AppTest) -> list[str]:
    return next(row for row in table(app, "A hire hour: cast-off to back") if "All moor" in row[0])


def rules(app: AppTest, number: int) -> str:
    return total(column(app, "Rows by log; a row may be counted by several", number))


def shares(app: AppTest) -> Numbers:
    """The three states that wear most, each with its share of all wear and the range of it."""
    rows = table(app, "Hours left unflushed count while the passages dry")[:3]
    return tuple(part for row in rows for part in re.findall(r"\d+", row[3]))


def alarms(app: AppTest) -> Numbers:
    """Readings of the list that ask for a look, which come first in it."""
    newest = column(app, "what asks for a look comes first", 0)
    return (count(newest, "\N{BLACK DIAMOND} look"),)


def entries(app: AppTest) -> Numbers:
    """Entries of the list of a hull's history, with those that its caption says are not in it."""
    caption = next(name for name in lists(app) if name.startswith("The newest"))
    in_all = re.findall(r"of (\d+) entr|; (\d+) outings", _closed(unescape(caption)))
    return (total([first or second for first, second in in_all]),)


def riskiest(app: AppTest) -> list[str]:
    return table(app, "Days left: 8 times in 10")[0]


def bands(app: AppTest) -> list[list[str]]:
    return table(app, "Chance that the next look finds")


def worst_band(app: AppTest) -> Numbers:
    """The band that the headline names: its chance, worn, looks, and share of the forecasts."""
    named = re.search("worst band: \u201c(.+?)\u201d", words_of(app))
    assert named is not None
    row = next(row for row in bands(app) if row[0].startswith(f"{named[1]} "))
    return named[1], row[2], row[1], row[3].split(" ")[0]


def about_one_in_ten(app: AppTest) -> Numbers:
    """Looks of the band round 1 in 10, 1 in 20 to 1 in 7 at its ends, and how many found worn."""
    odds = {int(row[0].split(" ")[2]): row for row in bands(app) if row[0].startswith("1 in ")}
    row = next(row for one_in, row in odds.items() if 7 < one_in < 20)
    return row[1], row[2].replace("0", "none") if row[2] == "0" else row[2]


def looks_that_changed(app: AppTest) -> Numbers:
    rows = table(app, "Each look stands between")
    counts = [row[1].split(" ")[0] for row in rows]
    changed = [row[0].startswith(("Brought", "Let")) for row in rows]
    return total([n for n, did in zip(counts, changed, strict=True) if did]), total(counts)


# ---- what is said beside them ------------------------------------------------------------------


@dataclass(frozen=True)
class Claim:
    """A sentence whose groups are numbers, and the same from the rows of one page."""

    page: str
    sentence: str
    rows: Callable[[AppTest], Numbers]
    on: str = "demo messy"
    """Fleets on which it must stand; on the others it may be missing, and agrees if it stands."""


ANY = "demo messy thin"
CLAIMS = {
    "hulls stopped": Claim(
        "week", r"(\d+) hulls? must not be hired out", lambda app: (week(app, 0, "not for hire"),)
    ),
    "hulls out": Claim("week", r"(\d+) hulls? comes? out,", lambda app: (week(app, 4, "out "),)),
    "hulls that wait": Claim(
        "week",
        r"(\d+) more oughts? to and waits?",
        lambda app: (week(app, 4, "not this week"),),
        "demo",
    ),
    "hires that change": Claim(
        "week",
        r"Hires to change: (\d+)",
        lambda app: (str(len(table(app, "Every other hire stays"))),),
    ),
    "hires moved": Claim(
        "week",
        r"(\d+) hires? moves?",
        lambda app: (count(column(app, "Every other hire stays", 1), "moves to"),),
    ),
    "hulls at a glance": Claim(
        "fleet", r"\*\*(\d+) hulls?: ", lambda app: (standings(app, " "),), ANY
    ),
    "past": Claim("fleet", r"(\d+) ■ past a limit", lambda app: (standings(app, "■ past"),)),
    "high": Claim("fleet", r"(\d+) ▲ high", lambda app: (standings(app, "▲ high"),)),
    "low": Claim("fleet", r"(\d+) ▽ low", lambda app: (standings(app, "▽ low"),)),
    "not known": Claim("fleet", r"(\d+) \? not known", lambda app: (standings(app, "? not"),), ""),
    "not for hire": Claim("fleet", r"(\d+) not for hire\.", lambda app: (standings(app, "STOP"),)),
    "weeks ahead": Claim("fleet", r"nobody acts, (\d+) to (\d+) will", last_week),
    "looks of the round": Claim(
        "looks",
        r"(\d+) anodes? on (\d+) hulls? to measure",
        lambda app: (str(sum(anodes(row[1]) for row in walks(app))), str(len(walks(app)))),
    ),
    "the first order": Claim(
        "parts",
        r"Order (\d+) of (\S+) today",
        lambda app: (
            re.split(r"[ ,]", column(app, "The most pressing order", 1)[0])[0],
            column(app, "The most pressing order", 0)[0].split(" ")[0],
        ),
        "demo",
    ),
    "costs of a year": Claim(
        "costs",
        r"cost EUR (\S+) a hull, EUR (\S+) an hour of hire",
        lambda app: (costs_row(app)[1], costs_row(app)[2]),
        "demo",
    ),
    "changes and looks": Claim(
        "costs",
        r"and (\d+) changes, (\d+) looks",
        lambda app: tuple(re.findall(r"(\d+) changes, (\d+) looks", costs_row(app)[0])[0]),
        "demo",
    ),
    "pull-outs": Claim(
        "costs",
        r"(\d+) pull-outs? and \d+ changes?",
        lambda app: (str(len(table(app, "The latest on top"))),),
    ),
    "changes of the pull-outs": Claim(
        "costs",
        r"pull-outs? and (\d+) changes?",
        lambda app: (total(column(app, "The latest on top", 2)),),
    ),
    "pull-outs folded": Claim(
        "costs",
        r"The (\d+) pull-outs? behind it",
        lambda app: (str(len(table(app, "The latest on top"))),),
    ),
    "pulled early": Claim(
        "moorings",
        r"\*\*(\d+) anodes? were pulled early.*?against (\d+) seen worn",
        lambda app: (
            total(column(app, "How the lives behind the curves ended", 2)),
            total(column(app, "How the lives behind the curves ended", 1)),
        ),
    ),
    "what a mooring's hire hour cost": Claim(
        "moorings",
        r"cost most at .*?: EUR (\S+) of anode work, against (\S+) at",
        lambda app: _dearest_and_cheapest(column(app, "In EUR.", 2)[:-1]),
        "demo",
    ),
    "hulls flushed": Claim(
        "flushing",
        r"spared (\d+) % \((\d+) to (\d+) %\).*?seen on (\d+) hulls",
        lambda app: tuple(
            re.findall(
                r"\d+", " ".join(table(app, "Groups of fewer than 5")[0][part] for part in (1, 3))
            )
        ),
    ),
    "hulls one by one": Claim(
        "flushing",
        r"Hull by hull \((\d+) hulls",
        lambda app: (str(len(table(app, "Last returns of a local day"))),),
    ),
    "habits": Claim(
        "habits",
        r"came from (\d+) % \((\d+) to (\d+) %\).*?, (\d+) % \((\d+) to (\d+) %\).*?"
        r" and (\d+) % \((\d+) to (\d+) %\)",
        shares,
    ),
    "rows set aside": Claim(
        "check", r"\*\*(\d+) rows? of \d+ set aside", lambda app: (rules(app, 1),)
    ),
    "rows doubtful": Claim("check", r"set aside, (\d+) doubtful", lambda app: (rules(app, 2),)),
    "readings that ask for a look": Claim(
        "chemistry", r"\*\*(\d+) readings? of \d+ asks? for a look", alarms, "demo"
    ),
    "hulls whose protection fades": Claim(
        "chemistry",
        r"Protection fades on (H\d+) and (H\d+)",
        lambda app: tuple(
            row[0].split(" ")[0] for row in table(app, "The steepest") if "▲" in row[3]
        ),
        "demo",
    ),
    "history of a hull": Claim("hull", r"History: (\d+) entr", entries, ANY),
    "plans issued for a hull": Claim(
        "hull",
        r"In plans that were issued: (\d+)",
        lambda app: (str(len(table(app, "Newest first."))),),
        "",
    ),
    "the anode that is drawn": Claim(
        "hull",
        r"\*\*([\w-]+)\*\* · ([^\n]+)",
        lambda app: (riskiest(app)[0].split(" ")[0], riskiest(app)[1].split(" pull by")[0]),
        ANY,
    ),
    "the look that a hull's rank rests on": Claim(
        "hull",
        r"Rank by risk .*?last read (\S+) mm on (\w+ \d+ \w+ \d+)",
        lambda app: tuple(re.findall(r"^(\S+) mm (.*?);", riskiest(app)[4])[0]),
        ANY,
    ),
    "the worst band": Claim(
        "record",
        "worst band: \u201c(.+?)\u201d came true in (\\d+) of (\\d+) looks?, (\\S+) %",
        worst_band,
        "demo",
    ),
    "about 1 in 10": Claim(
        "record",
        r"Of (\d+) anodes? given about 1 in 10 .*?, (none|\d+) (?:were|was)",
        about_one_in_ten,
        ANY,
    ),
    "better than the average": Claim(
        "record",
        r"rules of thumb: (\S+) % of the average",
        lambda app: (column(app, "Brier score: mean", 2)[0].split(" ")[0],),
    ),
    "looks that changed what was done": Claim(
        "record",
        r"Looks between two forecasts:\*\* (\d+) of (\d+) looks",
        looks_that_changed,
    ),
}


def _dearest_and_cheapest(costs: list[str]) -> Numbers:
    ranked = sorted(costs, key=float)
    return ranked[-1], ranked[0]


# ---- three fleets ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def messy(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Two dozen hulls over a season whose books are kept badly, looked at on a day near its end."""
    plan = replace(KINDS["messy"], hulls=24, days=200, tail_days=30)
    fleet = simulate("messy", MESSY_SEED, plan)
    return write(fleet, tmp_path_factory.mktemp("messy")), f"{fleet.dates(6)[-1]:%Y-%m-%d}"


@pytest.fixture(scope="module", autouse=True)
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Records are kept here, not with the user's: who opens the demo next has worked out none."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("kept")))
        yield


@pytest.fixture
def opened(
    run: Run, messy: tuple[Path, str], worn_fleet: FleetLogs, tmp_path: Path
) -> Callable[[str, str], AppTest]:
    """Open a page on a fleet by name; an answer once worked out is kept by the program itself."""

    def open_page(fleet: str, page: str) -> AppTest:
        hull = {"hull": "H1" if fleet == "thin" else "H07"} if page == "hull" else {}
        if fleet == "demo":
            app = run(page, None, **hull)
        elif fleet == "messy":
            app = run(page, messy[0], on=messy[1], **hull)
        else:
            app = run(page, worn_fleet.write(tmp_path / "thin"), on="2031-06-01", **hull)
        if any(button.key == "go_back" for button in app.button):  # a record not yet worked out
            app.button(key="go_back").click().run(timeout=300)
        assert not app.exception
        return app

    return open_page


PAGES = tuple(dict.fromkeys(claim.page for claim in CLAIMS.values()))


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("fleet", ["demo", "messy", "thin"])
def test_what_a_page_says_first_is_what_its_table_says(
    opened: Callable[[str, str], AppTest], fleet: str, page: str
) -> None:
    app = opened(fleet, page)
    words, apart = words_of(app), {}
    for name, claim in CLAIMS.items():
        if claim.page != page:
            continue
        stands = re.search(claim.sentence, words, re.DOTALL)
        if stands is None:
            if fleet in claim.on.split():
                apart[name] = "is not said"
        elif stands.groups() != claim.rows(app):
            apart[name] = f"said {stands.groups()}, listed {claim.rows(app)}"
    assert not apart


@pytest.mark.parametrize("page", ["week", "fleet", "costs"])
def test_the_rows_set_aside_are_those_of_the_log_check_that_the_line_leads_to(
    opened: Callable[[str, str], AppTest], page: str
) -> None:
    line = re.search(
        r"(\d+) rows? set aside in the logs, (\d+) doubtful", words_of(opened("demo", page))
    )
    check = opened("demo", "check")
    assert line is not None
    assert line.groups() == (rules(check, 1), rules(check, 2))


def test_rows_set_aside_as_of_a_day_gone_by_are_not_said_to_be_all(
    opened: Callable[[str, str], AppTest], messy: tuple[Path, str]
) -> None:
    words = words_of(opened("messy", "week"))
    then = re.search(r"(\d+) rows? set aside in the logs as of \w+ (\d+ \w+ \d+),", words)
    assert then is not None
    assert then[2] == f"{date.fromisoformat(messy[1]):%-d %b %Y}"
    assert int(then[1]) < int(rules(opened("messy", "check"), 1)), "the log went on"


def test_the_registers_count_the_hulls_in_the_fleet_and_those_that_left_it(
    opened: Callable[[str, str], AppTest],
) -> None:
    app = opened("demo", "registers")
    counted = re.search(r"\*\*(\d+) hulls and (\d+) that left the fleet,", words_of(app))
    assert counted is not None
    rows = next(re.search(r"(\d+) of (\d+) rows that stand", name) for name in lists(app))
    assert rows is not None
    assert int(counted[1]) + int(counted[2]) == int(rows[2])


def test_by_mooring_and_by_position_the_same_forecasts_and_looks_are_counted(
    opened: Callable[[str, str], AppTest],
) -> None:
    app = opened("demo", "record")
    sums = {
        name: [total(re.findall(f"(\\d+) {what}", " ".join(cells))) for what in ("forec", "looks")]
        for name in ("By mooring", "By position")
        if (cells := column(app, name, 1))
    }
    assert len(sums) == 2
    assert sums["By mooring"] == sums["By position"]


def test_what_was_written_last_stands_on_top_of_the_log_books_list(
    opened: Callable[[str, str], AppTest], run: Run, worn_fleet: FleetLogs, tmp_path: Path
) -> None:
    written = re.findall(r"; written \w+ (\d+ \w+ \d+, [\d:]+),", words_of(opened("demo", "book")))
    moments = [datetime.strptime(moment, "%d %b %Y, %H:%M") for moment in written]
    assert len(moments) > 1
    assert moments == sorted(moments, reverse=True)
    app = run("book", worn_fleet.setting(simulated=True).write(tmp_path / "fleet"), hull="H1")
    next(field for field in app.text_input if field.label == "Size, mm").set_value("6.5")
    next(button for button in app.button if button.label == "Write it down").click().run()
    done = re.match(r"Written: (H1) (\w+: \S+ mm)", app.success[0].value.replace("\\", ""))
    assert done is not None
    assert re.search(r"\*\*(H1)\*\* (\w+: \S+ mm)", words_of(app)).groups() == done.groups()


def test_what_becomes_of_the_rows_of_a_file_adds_up_to_what_is_said_over_them(
    run: Run, worn_fleet: FleetLogs, tmp_path: Path
) -> None:
    app = run("moving", worn_fleet.setting(simulated=True).write(tmp_path / "fleet"))
    head = "hull_id,position,read_at,size_mm\n"
    first = "H1,pencil,2031-05-29 07:00,6.65\nH2,pencil,2031-05-29 07:00,7.75\n"
    rest = "H3,pencil,2031-05-29 07:00,8.85\nH3,pencil,2031-05-29 07:00,8.85\n"
    bad = "H3,plate,soon,14.8\nH3,plate,2041-05-29 07:00,14.8\n"
    _upload(app, head + first)
    next(button for button in app.button if button.label == "Take these rows").click().run()
    app = run("moving", tmp_path / "fleet")
    _upload(app, head + first + rest + bad)
    over = re.search(
        r"(\d+) rows? would be taken\*\*, (\d+) are in the log already, (\d+) are set aside",
        words_of(app),
    )
    assert over is not None
    fates = column(app, "as it would be read", -1)
    taken, already = count(fates, "taken"), count(fates, "in the log already")
    aside = str(len(fates) - int(taken) - int(already))
    assert over.groups() == (taken, already, aside) == ("2", "2", "2")


def _upload(app: AppTest, text: str) -> None:
    app.file_uploader[0].upload("readings.csv", text.encode(), "text/csv").run()
    for question in app.radio:
        question.set_value(question.options[0])
    app.run()
    assert not app.exception
