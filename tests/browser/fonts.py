"""One set of fonts alone, whatever else is installed: Chromium sees what fontconfig shows it.

    FONTCONFIG_FILE=$(python -m tests.browser.fonts dejavu) python -m pytest -m browser

What a page or a sheet comes to must not hang on the fonts that happen to lie on a machine.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

FOLDERS = {
    "dejavu": Path("/usr/share/fonts/truetype/dejavu"),
    "liberation": Path("/usr/share/fonts/truetype/liberation"),
}
"""Where Debian's packages `fonts-dejavu-core` and `fonts-liberation` lay their fonts."""


def only(name: str) -> Path:
    """Write settings that show one set of fonts, and return the file."""
    if not FOLDERS[name].is_dir():
        raise SystemExit(f"{FOLDERS[name]}: no such fonts here. Install the package first.")
    folder = Path(tempfile.mkdtemp(prefix=f"fonts-{name}-"))
    settings = folder / "fonts.conf"
    settings.write_text(
        '<?xml version="1.0"?>\n<!DOCTYPE fontconfig SYSTEM "fonts.dtd">\n<fontconfig>'
        f"<dir>{FOLDERS[name]}</dir><cachedir>{folder / 'cache'}</cachedir></fontconfig>\n",
        encoding="utf-8",
    )
    return settings


if __name__ == "__main__":
    print(only(sys.argv[1]))
