"""Tables as people keep them, and what an import makes of them; shared by its tests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from corrosion.records import operator
from corrosion.records.importing import Imported, Options, Proposal, import_rows, propose
from corrosion.records.logbook import read_fleet
from tests.fleets import usual_fleet

ON = "2031-12-01"
HEAD = "hull_id,position,read_at,size_mm\n"


def fleet_at(parent: Path) -> Path:
    return usual_fleet().setting(timezone="Europe/Lisbon").write(parent / "fleet")


def proposed(folder: Path, text: str, log: str = "readings", **options: Any) -> Proposal:
    return propose(folder, log, text.encode(), "table.csv", Options(**options))


def taken(folder: Path, text: str, log: str = "readings", **options: Any) -> Imported:
    return import_rows(folder, proposed(folder, text, log, **options), operator("office"))


def column(folder: Path, name: str, log: str = "readings") -> list[Any]:
    return read_fleet(folder, ON).tables[log][name].tolist()


def questions(proposal: Proposal) -> list[str]:
    return [question.about for question in proposal.questions]


def sizes(*texts: str) -> str:
    rows = (f"H1;pencil;2031-05-{day:02d}T10:00Z;{text}\n" for day, text in enumerate(texts, 1))
    return HEAD.replace(",", ";") + "".join(rows)


def times(*texts: str) -> str:
    return HEAD + "".join(f"H1,pencil,{text},8.{n}\n" for n, text in enumerate(texts))
