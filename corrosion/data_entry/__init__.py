"""Typed into a form: what was typed becomes rows of the logs, or a question; never a guess.

In: texts from a form, and the fleet as it is known (`Desk`). Out: drafts of rows, the next question
that stands in their way, and rows appended through `records`. The rules that would find a slip
later ask about it here.

Notes
-----
* A form's questions are the checks' objections. `trial` puts the row that was typed beside the
  logs of the hull and up to 29 sisters and asks `check_logs`; `askers` turns the rules that
  object into questions with answers. So a slip is asked about at the desk by the same rule, with
  the same thresholds, that would find it later. Only three questions have no rule behind them: a
  size that fits a neighbour better, a size far from the forecast (4.5 standard deviations of
  forecast and caliper together, at least 0.6 mm), and a time that came twice.
* An answer is a draft. `Question` carries for each answer the rows that it makes; the page only
  shows labels. After an answer the changed draft is asked about again, so an inch that turns out
  to be a new anode raises the next question.
* What an anode should measure is looked up once a day, not at every entry: nobody with wet hands
  waits for a fit. The rules, which need no fit, run at every entry (0.4 s for 40 hulls).
* The name of a form is the `entry_id` of its row, and belongs to the form as it was drawn: the
  browser, the fleet, the kind, and a mark in the address. So a second tap, a page that is loaded
  again and a second tab of one address find the same name, and the store adds nothing; the same
  address on another phone, or over another fleet, has another. A row that is there under the name
  and says something else is never called written. A form that was written is not drawn again. Two
  rows used to come of two taps because the second starts the page anew while the first run still
  asks (0.4 s and more): two threads with one press, of which the second read the name of the next
  form. A guard by time cannot hold that; the name as drawn does.
* A round of readings (`rounds`) keeps no state of its own: the list is the one that was known when
  it began, done is what the logs say since then, and skips go with the address. Its forms are named
  after round, anode and attempt, so that a page loaded again, or a second tap that comes when the
  next anode is on the screen, still means the same row.
* What was typed is kept on the server under that name until it is written. The newest 200 forms are
  kept, in memory.
* A trial row has no time of entry, so that of two rows that say the same it is the second.
* Arrangements hold no sizes. Places, circuits and what is measured are common practice (no
  source); a limit without its manual's page is not entered.
"""

from corrosion.data_entry.alarms import Alarm, alarms_of
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
from corrosion.data_entry.arrangements import (
    ARRANGEMENTS,
    blank_layout,
    layout_rows,
    named_places,
)
from corrosion.data_entry.askers import next_question
from corrosion.data_entry.cells import columns_of, label_of, row_of, shown
from corrosion.data_entry.codes import hull_address, qr_sheet
from corrosion.data_entry.doubts import doubted_rows, findings_by_gravity
from corrosion.data_entry.drafts import Draft, Row
from corrosion.data_entry.kinds import KINDS, Kind, draft
from corrosion.data_entry.known import Desk, Place, desk_of, expected_sizes
from corrosion.data_entry.questions import Answer, Question
from corrosion.data_entry.renaming import brought_home, stray_ids
from corrosion.data_entry.round_address import (
    ALL,
    GOES_ON,
    LISTS,
    SKIPS,
    WEEK,
    RoundAddress,
    RoundAnode,
    Skip,
    read_round,
)
from corrosion.data_entry.rounds import (
    Round,
    entered_later,
    scheduled_round,
    walk_round,
    whole_round,
)
from corrosion.data_entry.settings_form import (
    bays_of,
    bays_table,
    plain_settings,
    settings_changes,
)
from corrosion.data_entry.settings_merge import Clash, Merged, merged_settings, mine_over
from corrosion.data_entry.starting import (
    NOTHING_BEGUN,
    REGISTERS,
    Begun,
    first_rows,
    logs_to_start,
    make_folder,
    what_is_begun,
)
from corrosion.data_entry.trial import objections_to_file
from corrosion.data_entry.typed import Typed, number, size
from corrosion.data_entry.writing import (
    Earlier,
    Kept,
    entry_named,
    entry_under,
    row_named,
    write_draft,
)

__all__ = [
    "ALL",
    "ARRANGEMENTS",
    "GOES_ON",
    "KINDS",
    "LISTS",
    "NOTHING_BEGUN",
    "REGISTERS",
    "SKIPS",
    "WEEK",
    "Alarm",
    "Answer",
    "Begun",
    "Clash",
    "Desk",
    "Draft",
    "Earlier",
    "Kept",
    "Kind",
    "Merged",
    "Place",
    "Question",
    "Round",
    "RoundAddress",
    "RoundAnode",
    "Row",
    "Skip",
    "Typed",
    "alarms_of",
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
    "entered_later",
    "entries_of",
    "entry_named",
    "entry_under",
    "expected_sizes",
    "findings_by_gravity",
    "first_rows",
    "hull_address",
    "label_of",
    "layout_rows",
    "logs_to_start",
    "make_folder",
    "matter",
    "merged_settings",
    "mine_over",
    "named_places",
    "named_rows",
    "next_question",
    "number",
    "objections_to_file",
    "plain_settings",
    "qr_sheet",
    "read_round",
    "recent",
    "row_named",
    "row_of",
    "rows_as_text",
    "scheduled_round",
    "settings_changes",
    "shown",
    "size",
    "standing_now",
    "standing_row",
    "stray_ids",
    "striking_out",
    "walk_round",
    "what_is_begun",
    "whole_round",
    "write_draft",
]
