"""The desk: what was typed into a form becomes rows of the logs, or a question; never a guess."""

from .amend import (
    as_cells,
    as_it_stands,
    correction,
    matter,
    named_rows,
    recent,
    standing_row,
    striking_out,
)
from .askers import next_question
from .cells import columns_of, label_of, row_of, shown
from .clock import Placed, placed
from .doubts import doubted_rows, findings_by_gravity
from .drafts import Draft, Row
from .kinds import KINDS, Kind, draft
from .known import Desk, Place, desk_of, expected_sizes
from .questions import Answer, Question
from .typed import Typed, number, size
from .writing import Kept, write_draft

__all__ = [
    "KINDS",
    "Answer",
    "Desk",
    "Draft",
    "Kept",
    "Kind",
    "Place",
    "Placed",
    "Question",
    "Row",
    "Typed",
    "as_cells",
    "as_it_stands",
    "columns_of",
    "correction",
    "desk_of",
    "doubted_rows",
    "draft",
    "expected_sizes",
    "findings_by_gravity",
    "label_of",
    "matter",
    "named_rows",
    "next_question",
    "number",
    "placed",
    "recent",
    "row_of",
    "shown",
    "size",
    "standing_row",
    "striking_out",
    "write_draft",
]
