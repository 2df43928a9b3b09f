"""What people call the moorings."""

from __future__ import annotations

from corrosion.forecast import Appraisal


def names(answer: Appraisal) -> dict[str, str]:
    """Give each mooring's name, or its identifier where it has none or shares it with another."""
    table = answer.checked.moorings.drop_duplicates("mooring_id")
    called = table["name"].where(table["name"].notna() & ~table["name"].duplicated(keep=False))
    known = called.fillna(table["mooring_id"])
    return {str(m): str(name) for m, name in zip(table["mooring_id"], known, strict=True)}
