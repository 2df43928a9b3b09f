"""The page that every sheet is printed on: paper, margins, stamp, caution, page numbers."""

from __future__ import annotations

from base64 import b64encode
from functools import cache
from importlib.resources import files
from typing import Final, Literal, get_args

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from corrosion import CAUTION
from corrosion.common import cautions

Paper = Literal["a4", "letter"]

PAPERS: Final[tuple[Paper, ...]] = get_args(Paper)
SIMULATED: Final = "Simulated: invented hulls and logs"

_TEMPLATES: Final = Environment(
    loader=PackageLoader("corrosion.reports.sheets"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def render(template: str, **said: object) -> str:
    """Fill a template of this package; every value that is not `Markup` is escaped.

    Parameters
    ----------
    template : str
        File in `templates/`.
    **said : object
        What the template asks for; a name that is missing is an error.

    Returns
    -------
    str
        HTML.
    """
    return _TEMPLATES.get_template(template).render(**said)


def sheet(
    title: str,
    body_html: str,
    *,
    paper: Paper = "a4",
    stamp: str,
    simulated: bool,
    lang: str = "en",
    heading: bool = True,
) -> str:
    """Lay a body out as a page that prints: black on white, numbered, stamped, with the caution.

    Parameters
    ----------
    title : str
        What the sheet is; plain text.
    body_html : str
        HTML whose values are escaped already, as `render` gives it. Sections of class ``sheet``
        begin a page each; table rows and ``together`` blocks are never broken over pages, and
        table heads repeat.
    paper : {'a4', 'letter'}
        ISO 216 A4 (210 by 297 mm) or US Letter (8.5 by 11 in).
    stamp : str
        Fleet, moment and version of the method, for the foot of every page; plain text.
    simulated : bool
        Whether the fleet is invented; said on every page.
    lang : str
        Language of the text, as in BCP 47.
    heading : bool
        Whether to begin with the title; False where the body brings headings of its own.

    Returns
    -------
    str
        A whole HTML document. The foot is set by CSS page margin boxes (CSS Paged Media), which
        Chromium prints; the head of the body says the same for a browser that does not.
    """
    return render(
        "page.html",
        title=title,
        body=Markup(body_html),  # promised to be escaped
        paper="letter" if paper == "letter" else "A4",
        stamp=stamp,
        caution=CAUTION,
        label=SIMULATED if simulated else "",
        lang=lang,
        heading=heading,
        css_text=css_text,
        faces=font_faces(),
    )


@cache
def font_faces() -> Markup:
    """Return the sheets' own font as a style: lines break the same on every machine."""
    fonts = files("corrosion.reports.sheets") / "fonts"
    weights = {"regular": 400, "bold": 700}
    return Markup(
        "".join(
            f'@font-face {{ font-family: "Sheet Sans"; font-weight: {weight}; '
            f"src: url(data:font/woff2;base64,{b64encode(content).decode()}) "
            'format("woff2"); }\n'
            for name, weight in weights.items()
            for content in [(fonts / f"sheet-sans-{name}.woff2").read_bytes()]
        )
    )


def css_text(text: str) -> Markup:
    r"""Quote text for a style sheet, where neither a quote nor ``</style>`` can end it.

    Every character that CSS or HTML would act on is written as its escape: ``\3c `` for ``<``.
    """
    flat = " ".join(text.split())
    quoted = "".join(f"\\{ord(c):x} " if c in "\"'\\<>&" else c for c in flat)
    return Markup(f'"{quoted}"')


_TEMPLATES.globals.update(cautions=cautions, css_text=css_text)
