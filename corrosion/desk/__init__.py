"""The desk: what was typed into a form becomes rows of the logs, or a question; never a guess."""

from .amend import (
    as_cells,
    as_it_stands,
    correction,
    entries_of,
    matter,
    named_rows,
    recent,
    rows_as_text,
    standing_now,
    standing_row,
    striking_out,
)
from .arrangements import ARRANGEMENTS, blank_layout, layout_rows
from .askers import next_question
from .cells import columns_of, label_of, row_of, shown
from .clock import Placed, placed
from .codes import hull_address, qr_sheet
from .doubts import doubted_rows, findings_by_gravity
from .drafts import Draft, Row
from .kinds import KINDS, Kind, draft
from .known import Desk, Place, desk_of, expected_sizes
from .questions import Answer, Question
from .renaming import brought_home, stray_ids
from .settings_form import bays_of, bays_table, plain_settings, settings_changes
from .starting import first_rows, has_logs
from .trial import objections_to_file
from .typed import Typed, number, size
from .writing import Kept, write_draft

__all__ = [
    "ARRANGEMENTS",
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
    "bays_of",
    "bays_table",
    "blank_layout",
    "brought_home",
    "columns_of",
    "correction",
    "desk_of",
    "doubted_rows",
    "draft",
    "entries_of",
    "expected_sizes",
    "findings_by_gravity",
    "first_rows",
    "has_logs",
    "hull_address",
    "label_of",
    "layout_rows",
    "matter",
    "named_rows",
    "next_question",
    "number",
    "objections_to_file",
    "placed",
    "plain_settings",
    "qr_sheet",
    "recent",
    "row_of",
    "rows_as_text",
    "settings_changes",
    "shown",
    "size",
    "standing_now",
    "standing_row",
    "stray_ids",
    "striking_out",
    "write_draft",
]
