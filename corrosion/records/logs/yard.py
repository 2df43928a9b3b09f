"""The logs of the yard: what was planned and decided, stock, meters, engines, slip windows."""

from __future__ import annotations

from corrosion.records.logs.kinds import ENTRY, HULL, MOORING, Column, Log

YARD = (
    Log(
        "meters",
        "something happened to an hour meter",
        (
            HULL,
            Column("changed_at", "moment", "", "when", True),
            Column(
                "event",
                "word",
                "",
                "what happened",
                True,
                ("replaced", "zeroed", "rolled-over", "stuck", "repaired"),
            ),
            Column("meter_before_hours", "number", "h", "what it showed before"),
            Column("meter_after_hours", "number", "h", "what it showed afterwards"),
            Column("note", "text", "", "anything else"),
            *ENTRY,
        ),
        keys=("hull_id",),
        event_time="changed_at",
    ),
    Log(
        "engine_swaps",
        "another engine went into the hull",
        (
            HULL,
            Column("swapped_at", "moment", "", "when", True),
            Column("engine", "text", "", "serial or mark of the engine that went in"),
            Column("note", "text", "", "anything else"),
            *ENTRY,
        ),
        keys=("hull_id",),
        event_time="swapped_at",
    ),
    Log(
        "slip_windows",
        "the slip or lift of the mooring can be used (tide, crane); none on record: always",
        (
            MOORING,
            Column("opens", "moment", "", "from", True),
            Column("closes", "moment", "", "to", True),
            *ENTRY,
        ),
        keys=("mooring_id",),
        event_time="opens",
        ahead=True,
    ),
    Log(
        "stock_moves",
        "parts came or went",
        (
            Column("part_number", "id", "", "the part", True),
            Column("pieces", "number", "pieces", "pieces, less than zero when they went", True),
            Column("moved_at", "moment", "", "when", True),
            Column("mooring_id", "id", "", "where they lie; unknown: the fleet's common store"),
            Column("note", "text", "", "delivery, count, loss"),
            *ENTRY,
        ),
        keys=("part_number",),
        event_time="moved_at",
    ),
    Log(
        "plan_changes",
        "the manager decided otherwise than the plan",
        (
            HULL,
            Column("decided_at", "moment", "", "when", True),
            Column(
                "change",
                "word",
                "",
                "pin: out on that day; skip: not that week; hire-out: hired out past its pull-by; "
                "lift-stop: the owner lets a stopped hull sail, until the end of that day; "
                "release: earlier changes no longer hold",
                True,
                ("pin", "skip", "hire-out", "lift-stop", "release"),
            ),
            Column(
                "day",
                "date",
                "",
                "pin: the day; lift-stop: the last day; otherwise the Monday of the week",
            ),
            Column("reason", "text", "", "why"),
            *ENTRY,
        ),
        keys=("hull_id",),
        event_time="decided_at",
    ),
    Log(
        "plans",
        "a hull's line in a plan that was issued; all lines with one plan_id are the plan",
        (
            Column("plan_id", "id", "", "the plan", True),
            HULL,
            Column("issued_at", "moment", "", "when it was issued", True),
            Column("week", "date", "", "Monday of its first week"),
            Column("day", "date", "", "day of the pull-out; none: the hull stays"),
            Column("mooring_id", "id", "", "where"),
            Column("bay", "number", "no.", "which bay of the mooring, from 1"),
            Column("replace", "text", "", "positions to replace, joined by commas"),
            Column("measure", "text", "", "positions to measure, joined by commas"),
            Column("hours", "number", "h", "work"),
            Column("parts", "text", "", "pieces and part numbers"),
            Column(
                "risk_now", "number", "0 to 1", "chance of a worn anode by the end of that week"
            ),
            Column("risk_after", "number", "0 to 1", "the same after the work"),
            Column("pull_by", "date", "", "last date within the tolerated risk"),
            Column("why", "text", "", "why it is, or is not, on the plan"),
            Column("method", "text", "", "version of the method"),
            Column(
                "hires_told",
                "number",
                "hires",
                "rows of plan_hires that belong to the plan; unknown: it did not keep hires",
            ),
            *ENTRY,
        ),
        keys=("plan_id", "hull_id"),
        event_time="issued_at",
    ),
    Log(
        "plan_hires",
        "a hire that changes by a plan that was issued, as the desk was told",
        (
            Column("plan_id", "id", "", "the plan", True),
            Column("hull_id", "id", "", "the hull on which it was booked then", True),
            Column("issued_at", "moment", "", "when the plan was issued", True),
            Column("starts", "moment", "", "hire begins", True),
            Column("ends", "moment", "", "hire ends"),
            Column(
                "change",
                "word",
                "",
                "move: to to_hull_id; cancel: called off; look-first: waits for a look",
                True,
                ("move", "cancel", "look-first"),
            ),
            Column("to_hull_id", "id", "", "the hull that takes it; none unless moved"),
            Column("mooring_id", "id", "", "where"),
            Column("cost", "number", "currency", "what the change was taken to cost"),
            Column("why", "text", "", "why it changes"),
            Column("booking", "id", "", "entry_id of the booking, or its name by content"),
            *ENTRY,
        ),
        keys=("plan_id", "hull_id"),
        event_time="issued_at",
    ),
)
