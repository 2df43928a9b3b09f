"""How all hulls are, as the manager and the owner read it."""

import re

import pytest

from tests.fleets import FleetLogs
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow


def tiles(html: str) -> list[str]:
    return re.findall(r'class="tile [^"]*" href="[^"]*" data-open="([^"]+)"', html)


def glance(app: object) -> str:
    return next(html for html in lists(app).values() if 'class="tiles"' in html)  # type: ignore[arg-type]


def test_every_hull_has_a_tile_and_the_headline_counts_them(run: Run) -> None:
    app = run("fleet", None)
    assert not app.exception
    html = glance(app)
    assert len(tiles(html)) == len(set(tiles(html))) == 39
    counts = dict(re.findall(r"(\d+) [■▲●▽?] (past|high|watch|low|not)", app.markdown[0].value))
    assert app.markdown[0].value.startswith("**39 hulls: ")
    assert sum(map(int, re.findall(r"(\d+) [■▲●▽?]", app.markdown[0].value))) == 39, counts


def test_filters_in_the_address_choose_the_hulls_of_headline_tiles_and_list(run: Run) -> None:
    app = run("fleet", None, mooring="lake")
    assert "8 of 39 hulls looked at" in app.markdown[0].value
    assert len(tiles(glance(app))) == 8
    ranked = next(html for caption, html in lists(app).items() if "1 to 8 of 8" in caption)
    assert ranked.count("<tr data-open=") == 8
    assert set(re.findall(r"<small>(\w+)</small></a>", ranked)) == {"lake"}


def test_a_choice_that_no_hull_fits_says_so(run: Run) -> None:
    app = run("fleet", None, find="nobody")
    assert "No hull fits" in app.info[0].value


def test_words_beside_the_mark_say_what_is_left(run: Run) -> None:
    text = said(run("fleet", None))
    assert re.search(r"\d+ % left \(\d+ to \d+ %\)", text)
    assert "none left, past its limit" in text


def test_a_fleet_too_thin_to_judge_is_shown_with_the_reason(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    folder = standing(worn_fleet.hull("H9", layout="unheard-of", in_service="2031-04-01"))
    app = run("fleet", folder, on="2031-06-01")
    assert not app.exception
    assert "1 ? not known" in app.markdown[0].value
    assert "H9" in tiles(glance(app))


def test_what_if_says_how_many_more_would_be_over(run: Run) -> None:
    app = run("fleet", None)
    app.toggle(key="worse").set_value(True).run()
    assert not app.exception
    assert re.search(r"\*\*\d+ hulls instead of 10\*\*", said(app))


def test_a_hull_that_must_not_sail_is_marked_so_however_low_its_chance(run: Run) -> None:
    app = run("fleet", None)
    assert "3 not for hire" in app.markdown[0].value
    tile = re.search(r'<a class="tile ([^"]*)"[^>]*data-open="H02">(.*?)</a>', glance(app))
    assert tile is not None  # magnesium in salt water, with metal left for weeks
    assert tile[1] == "past"
    assert "H02 STOP" in tile[2]
    assert "not for hire, ▽ low" in tile[2]
