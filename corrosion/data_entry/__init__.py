"""Typed into a form: what was typed becomes rows of the logs, or a question; never a guess.

In: texts from a form, and the fleet as it is known (`Desk`). Out: drafts of rows, the next question
that stands in their way, and rows appended through `records`. The rules that would find a slip
later ask about it here.
"""

from corrosion.data_entry.amend import (
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
from corrosion.data_entry.arrangements import ARRANGEMENTS, blank_layout, layout_rows
from corrosion.data_entry.askers import next_question
from corrosion.data_entry.cells import columns_of, label_of, row_of, shown
from corrosion.data_entry.codes import hull_address, qr_sheet
from corrosion.data_entry.doubts import doubted_rows, findings_by_gravity
from corrosion.data_entry.drafts import Draft, Row
from corrosion.data_entry.kinds import KINDS, Kind, draft
from corrosion.data_entry.known import Desk, Place, desk_of, expected_sizes
from corrosion.data_entry.questions import Answer, Question
from corrosion.data_entry.renaming import brought_home, stray_ids
from corrosion.data_entry.settings_form import (
    bays_of,
    bays_table,
    plain_settings,
    settings_changes,
)
from corrosion.data_entry.starting import first_rows, has_logs
from corrosion.data_entry.trial import objections_to_file
from corrosion.data_entry.typed import Typed, number, size
from corrosion.data_entry.writing import Kept, write_draft

__all__ = [
    "ARRANGEMENTS",
    "KINDS",
    "Answer",
    "Desk",
    "Draft",
    "Kept",
    "Kind",
    "Place",
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
