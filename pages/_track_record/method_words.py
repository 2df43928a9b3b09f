"""How the track record is worked out, in the words of somebody who has to defend it."""

from __future__ import annotations

WORKED_OUT = (
    "**Going back**: each Monday's forecast is made from scratch, from the logs cut at that "
    "moment; hires entered later are hidden too.",
    "**Said beside found**: what each forecast said for the anode's next look is set beside what "
    "that look found. Several Mondays meet at one look, so ranges count looks, not forecasts.",
    "**The rules of thumb** are scored on the same looks, each with the best chances that it could "
    "have said with hindsight. By the calendar and by engine hours: in service longer than the "
    "middle anode of its position that was found worn. Half gone: the last look found half of the "
    "allowance used.",
    "**Ranges** that promise 8 in 10: of the next reading, and of the days left, where worn was "
    "found. A limit crossed between two looks may lie across a range's end; then nobody can tell.",
    "**Widening**: where readings lay further from what was said than the ranges promise, ranges "
    "are widened by what is sure of that; they are never made narrower.",
)
