"""QR codes for the consoles: each opens the log book for its hull (ISO/IEC 18004)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from urllib.parse import urlencode

import segno
from markupsafe import Markup

from corrosion.data_entry.known import Desk
from corrosion.records import stamp
from corrosion.reports import Paper, render, sheet

ERROR_LEVEL: Final = "q"
"""A quarter of the code may be scratched or wet (ISO/IEC 18004, level Q)."""


def hull_address(base: str, hull_id: str) -> str:
    """Where the log book opens for a hull."""
    return f"{base.strip().rstrip('/')}/log_book?{urlencode({'hull': hull_id})}"


def qr_sheet(desk: Desk, base: str, hulls: Sequence[str], paper: Paper = "a4") -> str:
    """A sheet of codes to print, one a hull, with hull and address in plain letters beside it.

    Parameters
    ----------
    desk : Desk
        The fleet.
    base : str
        Address of the dashboard as phones see it.
    hulls : sequence of str
        Which hulls.
    paper : {'a4', 'letter'}
        ISO 216 A4 or US Letter.

    Returns
    -------
    str
        A whole HTML document; the codes are drawn in it, nothing is fetched.
    """
    named = desk.checked.hulls.drop_duplicates("hull_id").set_index("hull_id")["name"]
    codes = [_code(base, hull_id, named.get(hull_id)) for hull_id in hulls]
    return sheet(
        "Log book codes",
        render("codes.html", codes=codes),
        paper=paper,
        stamp=stamp(desk.logbook),
        simulated=desk.logbook.settings.simulated,
    )


def _code(base: str, hull_id: str, name: object) -> dict[str, object]:
    address = hull_address(base, hull_id)
    drawn = segno.make(address, error=ERROR_LEVEL, micro=False).svg_inline(border=4, omitsize=True)
    text = name if isinstance(name, str) else ""
    return {"hull": hull_id, "name": text, "address": address, "svg": Markup(drawn)}
