"""A name is text on every page: it fetches nothing, is no link, and shows as it is written.

What a page gives to Markdown is rendered as the browser's renderer does (CommonMark with bare
addresses made links, as GitHub's flavour has it), and looked through for pictures and links.
"""

import json
import re
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from streamlit.testing.v1 import AppTest

from tests.fleets import FleetLogs, usual_fleet
from tests.pages.conftest import PAGES
from tests.pages.reading import Run

pytestmark = pytest.mark.slow

AWAY = "h.example"
NAMES = {
    "H1": f"![a](http://{AWAY}/1.png)",
    "H2": f"<a href='//{AWAY}'>two</a>",
    "H3": f"http://{AWAY}/3 www.{AWAY} x@{AWAY}",
    "E": f"[dock](https://{AWAY})",
    "B": f"<img src=//{AWAY}/b>",
    "pencil": f"![p](//{AWAY}/p.png)",
    "plate": f"<a href='https://{AWAY}'>plate</a>",
    "twin": f"https://{AWAY}/twin",
}
MARKED_UP = ("markdown", "caption", "title", "header", "subheader", "warning", "info", "error",
             "success")  # fmt: skip
OPTIONS_MARKED_UP = ("radio", "button_group", "checkbox", "toggle", "button")
ADDRESS = re.compile(r"(?<!\\)(?:https?:/|www\.)", re.I)


def hostile(fleet: FleetLogs) -> FleetLogs:
    """The same fleet under other names."""
    for rows in fleet.rows.values():
        for row in rows:
            row |= {key: NAMES.get(value, value) for key, value in row.items() if _is_name(value)}
    return fleet


def _is_name(value: object) -> bool:
    return isinstance(value, str) and value in NAMES


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    fleet = usual_fleet(3).setting(name=NAMES["E"], simulated=True, roles=[NAMES["H3"], "office"])
    for number, lost_mm in ((1, 2.3), (2, 1.2), (3, 0.1)):
        hull_id = f"H{number}"
        fleet.season(hull_id, "2031-04-02", 58)
        for day, share in ((10, 0.15), (25, 0.4), (40, 0.7), (57, 1.0)):
            at = f"2031-{4 + day // 30:02d}-{1 + day % 30:02d} 07:00"
            size = round(9.0 - share * lost_mm, 2)
            fleet.reading(hull_id, "pencil", at, size, potential_mv=-900.0, note=NAMES["pencil"])
            fleet.reading(hull_id, "plate", at, round(15.0 - share * lost_mm / 2, 2))
    fleet.reading("H9", "pencil", "2031-05-01 07:00", 8.0)
    fleet.booking("H1", "2031-06-02 09:00", "2031-06-02 11:00", engine_hours=1.8)
    return hostile(fleet).write(tmp_path_factory.mktemp("hostile"))


def pictures_and_links(text: str) -> list[str]:
    """What Markdown makes of a text that leads away."""
    bare = ADDRESS.findall(re.sub(r"`[^`]*`", "", text))
    tokens = MarkdownIt("commonmark", {"html": False}).parseInline(text)[0].children or []
    made = [str(t.attrs) for t in tokens if t.type in ("image", "link_open")]
    return [each for each in made if AWAY in each] + (bare if AWAY in text else [])


def labels(app: AppTest) -> list[str]:
    """Labels, help and choices, which are Markdown too."""
    texts = []
    for element in app.main:
        proto = getattr(element, "proto", None)
        texts += [str(getattr(proto, name, "") or "") for name in ("label", "help")]
        if getattr(element, "type", "") in OPTIONS_MARKED_UP:
            options = getattr(proto, "options", ())
            texts += [str(getattr(option, "content", option)) for option in options]
    return texts


@pytest.mark.parametrize("page", PAGES)
def test_no_name_fetches_or_links_anything(run: Run, folder: Path, page: str) -> None:
    address = {"hull": NAMES["H1"]} if page in ("hull", "book") else {}
    app = run(page, folder, **address)
    assert not app.exception
    texts = [element.value for kind in MARKED_UP for element in app.get(kind)]
    for text in [*texts, *labels(app)]:
        assert pictures_and_links(text) == [], text
    for element in app.get("plotly_chart"):
        spec = element.proto.spec or element.proto.figure.spec
        assert "<a" not in json.dumps(json.loads(spec)).lower()
    for element in app.get("html"):
        assert f"//{AWAY}" not in re.sub(r"&[#\w]+;", "", element.proto.body)


@pytest.mark.parametrize("page", ["hull", "book", "week"])
def test_a_name_in_the_address_of_no_hull_is_text(run: Run, folder: Path, page: str) -> None:
    app = run(page, folder, hull=f"https://{AWAY}/nowhere ![x](//{AWAY}/y.png)")
    assert not app.exception
    for kind in MARKED_UP:
        for element in app.get(kind):
            assert pictures_and_links(element.value) == [], element.value


def test_what_is_looked_for_would_be_found() -> None:
    for name in (NAMES["H1"], NAMES["H3"], NAMES["E"], NAMES["twin"]):
        assert pictures_and_links(name)
