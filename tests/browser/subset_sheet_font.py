"""Cut the sheets' own font out of Liberation Sans: the characters they use, no hints, no ligatures.

    python3 -m venv /tmp/fonts && /tmp/fonts/bin/pip install fonttools brotli
    /tmp/fonts/bin/python tests/browser/subset_sheet_font.py FOLDER

FOLDER holds `LiberationSans-Regular.ttf` and `LiberationSans-Bold.ttf` 2.1.5 (Debian's package
`fonts-liberation2`). The name is changed, since the licence (SIL OFL 1.1) reserves it.
"""

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

FONTS = Path(__file__).parents[2] / "corrosion" / "reports" / "sheets" / "fonts"
SPANS = (
    *((0x20, 0x7E), (0xA0, 0x17F), (0x218, 0x21B), (0x3A9, 0x3A9), (0x3BC, 0x3BC)),
    *((0x2010, 0x2027), (0x2030, 0x203A), (0x2032, 0x2033), (0x20AC, 0x20AC), (0x2126, 0x2126)),
    *((0x2190, 0x2193), (0x2212, 0x2212), (0x2248, 0x2248), (0x2260, 0x2265)),
)
"""Latin with its accents, marks, arrows, signs, ohm: first and last of each span of characters."""
NAMES = {
    1: "Sheet Sans",
    16: "Sheet Sans",
    3: "Sheet Sans {}",
    4: "Sheet Sans {}",
    6: "SheetSans-{}",
}
KEPT_NAMES = (0, 1, 2, 3, 4, 5, 6, 13, 14)


def main(folder: Path) -> None:
    for weight in ("Regular", "Bold"):
        font = TTFont(folder / f"LiberationSans-{weight}.ttf")
        options = subset.Options()
        options.layout_features = ["kern", "mark", "mkmk", "tnum"]
        options.hinting, options.notdef_outline, options.name_IDs = False, True, ["*"]
        cut = subset.Subsetter(options)
        cut.populate(unicodes=[c for first, last in SPANS for c in range(first, last + 1)])
        cut.subset(font)
        for record in font["name"].names:
            if record.nameID in NAMES:
                record.string = NAMES[record.nameID].format(weight)
        font["name"].names = [r for r in font["name"].names if r.nameID in KEPT_NAMES]
        font.flavor = "woff2"
        font.save(FONTS / f"sheet-sans-{weight.lower()}.woff2")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
