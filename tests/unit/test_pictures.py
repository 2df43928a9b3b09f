"""The pictures that the READMEs show: there, wide, light, small enough to fetch on a pontoon."""

import re

import pytest
from PIL import Image

from tests.house import HOUSE

MOST_BYTES = 150_000
SHOWN = sorted(
    page.parent / picture
    for page in (HOUSE / "README.md", HOUSE / "demo_fleet" / "README.md")
    for picture in re.findall(r"!\[[^\]]+\]\(([^)]+)\)", page.read_text(encoding="utf-8"))
)


def test_the_readmes_show_pictures_and_no_other_lies_about() -> None:
    assert {path.resolve() for path in SHOWN} == set((HOUSE / "demo_fleet/pictures").iterdir())


@pytest.mark.parametrize("path", SHOWN, ids=lambda path: path.name)
def test_a_picture_is_wide_light_and_small(path) -> None:  # type: ignore[no-untyped-def]
    assert path.stat().st_size <= MOST_BYTES
    with Image.open(path) as picture:
        assert picture.width >= 1200
        grey = picture.convert("L").resize((1, 1), Image.Resampling.BOX)
        assert grey.getpixel((0, 0)) > 200  # of 255: dark pages are about 30
