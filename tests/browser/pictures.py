"""The pictures of the README, made from the demo fleet: `python -m tests.browser.pictures`.

Each is a page in a wide light window of Chromium, as far down as its answer and its picture go,
in as few colours as it has, so that all of them together weigh less than a photograph.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from io import BytesIO

from PIL import Image
from playwright.sync_api import Page, expect, sync_playwright

from tests.browser.conftest import CHROMIUM
from tests.browser.serving import FOOT, HOUSE, serving

FOLDER = HOUSE / "demo_fleet" / "pictures"
WIDE, COLOURS, PATIENT_MS = 1280, 64, 120_000


@dataclass(frozen=True)
class Picture:
    """A page, what it is called, and how far down it is shown, px."""

    name: str
    path: str
    height: int


PICTURES = (
    Picture("week", "", 1130),
    Picture("hull", "hull?hull=H07", 1400),
    Picture("moorings", "moorings", 900),
)


def main() -> int:
    """Take every picture anew."""
    FOLDER.mkdir(exist_ok=True)
    with serving() as server, sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=str(CHROMIUM))
        page = chromium.new_page(color_scheme="light", reduced_motion="reduce")
        for picture in PICTURES:
            page.set_viewport_size({"width": WIDE, "height": picture.height})
            page.goto(f"{server.address}/{picture.path}")
            path = FOLDER / f"{picture.name}.png"
            path.write_bytes(_small(_taken(page)))
            print(f"{path.relative_to(HOUSE)}: {path.stat().st_size / 1000:.0f} kB")
        chromium.close()
    return 0


def _taken(page: Page) -> bytes:
    expect(page.get_by_text(FOOT)).to_be_attached(timeout=PATIENT_MS)
    page.wait_for_timeout(2_500)  # pictures settle, and nothing says when
    return page.screenshot()


def _small(taken: bytes) -> bytes:
    """Keep as many colours as print and lines have, which is a third of the weight."""
    packed = BytesIO()
    image = Image.open(BytesIO(taken)).convert("RGB")
    image.quantize(COLOURS, dither=Image.Dither.NONE).save(packed, "PNG", optimize=True)
    return packed.getvalue()


if __name__ == "__main__":
    sys.exit(main())
