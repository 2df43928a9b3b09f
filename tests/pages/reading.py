"""Reading a page as a person does: its lists and its words."""

import json
from collections.abc import Callable
from html import unescape
from pathlib import Path

from streamlit.testing.v1 import AppTest

from tests.demo import DEMO as DEMO
from tests.fleets import FleetLogs

HOUSE = Path(__file__).parents[2]
WORDS = ("title", "header", "subheader", "markdown", "caption", "warning", "info", "error", "code")
Run = Callable[..., AppTest]
Standing = Callable[[FleetLogs], Path]


def lists(app: AppTest) -> dict[str, str]:
    """The HTML of every list on the page, by its caption or, for facts, its first words."""
    shown = [json.loads(element.proto.json) for element in app.get("bidi_component")]
    return {_name(data["html"]): data["html"] for data in shown if "html" in data}


def said(app: AppTest) -> str:
    """Every word on the page, in one text."""
    texts = [element.value for kind in WORDS for element in app.get(kind)]
    texts += [element.proto.body for element in app.get("html")]
    return "\n".join([*texts, *(unescape(html) for html in lists(app).values())])


def _name(html: str) -> str:
    inside = html.split("<caption>")[-1] if "<caption>" in html else html.split("<dt>")[-1]
    return inside.split("<")[0]
