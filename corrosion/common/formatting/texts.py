"""Names in a sentence, and names that show as they are written."""

from __future__ import annotations

import re
from typing import Final

# in a label: what fetches, links or marks up; a colon before a blank, and a point, are harmless
_IN_LABELS: Final = re.compile(r"([\\`*_\[\]<>$~@]|:(?=\S)|(?<=www)\.)", re.I)
_MARKDOWN: Final = frozenset("\\`*_{}[]()#+-.!|<>$:~^=&@")


def listed(names: list[str], most: int = 6) -> str:
    """Join names as in a sentence; beyond `most`, say how many more there are."""
    shown = names[:most]
    if len(names) > most:
        return f"{', '.join(shown)} and {len(names) - most} more"
    return " and ".join([", ".join(shown[:-1]), shown[-1]]) if len(shown) > 1 else "".join(shown)


def plain(text: object) -> str:
    """Escape what Markdown would act on, so that a name from the logs shows as it is written."""
    flat = " ".join(str(text).split())
    return "".join(f"\\{letter}" if letter in _MARKDOWN else letter for letter in flat)


def label(text: object) -> str:
    """Escape a text on a button or in a choice, where a name from the logs may stand in it."""
    return _IN_LABELS.sub(r"\\\1", " ".join(str(text).split()))
