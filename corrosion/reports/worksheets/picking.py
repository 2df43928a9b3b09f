"""The week's pick list: which parts and seals go where on which day, against what is on hand."""

from __future__ import annotations

from collections import Counter, defaultdict
from datetime import tzinfo
from typing import Any, Final

import pandas as pd

from corrosion.common import formatting
from corrosion.workshop import COMMON

NO_NUMBER: Final = "anode without a part number"
STORE_COLUMNS: Final = ("part_number", "mooring_id", "pieces")
PICK_COLUMNS: Final = (
    *("mooring", "day", "day_said", "kind", "part_number", "pieces", "hulls"),
    *("on_hand", "short"),
)


def picking(pulls: pd.DataFrame, store: pd.DataFrame, zone: tzinfo) -> pd.DataFrame:
    """Add up what each mooring needs on each day, and take it from the store in order of days.

    Parameters
    ----------
    pulls : DataFrame, one row a pull-out
        `day` (date), `mooring_id`, `hull_id`, `replace` (positions), `parts` and `seals` (part
        number to pieces); an anode that is replaced and has no part number is picked too.
    store : DataFrame
        Pieces on hand: `part_number`, `mooring_id` (``''``: the common store), `pieces`. A part
        that is not in it was not counted.
    zone : tzinfo
        The fleet's zone.

    Returns
    -------
    DataFrame, one row a mooring, day and part
        `mooring`, `day` (date), `day_said`, `kind` (``anode`` or ``seal``), `part_number`,
        `pieces`, `hulls` (which, joined), `on_hand` (pieces left to that mooring before that day;
        NaN: not counted, as seals never are), `short` (pieces missing).
    """
    left: dict[str, dict[str, int]] = {}
    for part, place, pieces in store[list(STORE_COLUMNS)].itertuples(index=False):
        left.setdefault(str(part), {})[str(place)] = int(pieces)
    rows = [_taken(need, left, zone) for need in _needs(pulls)]
    picks = pd.DataFrame(rows, columns=list(PICK_COLUMNS)).astype({"on_hand": "float64"})
    return picks.sort_values(["mooring", "day", "kind", "part_number"], ignore_index=True)


def _needs(pulls: pd.DataFrame) -> list[dict[str, Any]]:
    """Add the pieces of hulls together, day by day."""
    pieces: Counter[tuple[Any, ...]] = Counter()
    hulls: defaultdict[tuple[Any, ...], list[str]] = defaultdict(list)
    for pull in pulls.to_dict("records"):
        unnumbered = len(pull["replace"]) - sum(pull["parts"].values())
        anodes = pull["parts"] | ({NO_NUMBER: unnumbered} if unnumbered > 0 else {})
        for kind, wanted in (("anode", anodes), ("seal", pull["seals"])):
            for part, count in wanted.items():
                key = (pull["day"], str(pull["mooring_id"] or ""), kind, part)
                pieces[key] += int(count)
                hulls[key].append(str(pull["hull_id"]))
    names = ("day", "mooring", "kind", "part_number")
    return [
        dict(zip(names, key, strict=True)) | {"pieces": pieces[key], "hulls": ", ".join(hulls[key])}
        for key in sorted(pieces)
        if pieces[key]
    ]


def _taken(need: dict[str, Any], left: dict[str, dict[str, int]], zone: tzinfo) -> dict[str, Any]:
    """Take what is needed from the mooring's own shelf, then from the common store."""
    words = need | {"day_said": formatting.day(need["day"], zone)}
    # seals go by the number of the anode that they seal; the store counts anodes under it
    shelf = left.get(need["part_number"]) if need["kind"] == "anode" else None
    if shelf is None:
        return words | {"on_hand": float("nan"), "short": 0}
    places = dict.fromkeys((need["mooring"], COMMON))
    on_hand, wanted = sum(shelf.get(place, 0) for place in places), need["pieces"]
    for place in places:
        taken = min(max(shelf.get(place, 0), 0), wanted)
        shelf[place] = shelf.get(place, 0) - taken
        wanted -= taken
    return words | {"on_hand": on_hand, "short": wanted}
