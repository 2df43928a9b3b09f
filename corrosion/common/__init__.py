"""What every wing needs: how a refusal is said, how a value is said, how a file is written.

In: values, rows and paths from any wing. Out: sentences, CSV and JSON text, and files that are on
the disk whole or not at all. Nothing here knows what an anode is, and nothing here imports another
wing.
"""

from corrosion.common import cautions, formatting
from corrosion.common.arrays import (
    HOURS_A_DAY,
    MONTH_H,
    WHOLE_YEAR_DAYS,
    YEAR_DAYS,
    YEAR_H,
    Z80,
    Z95,
    Codes,
    Floats,
    Marks,
    central_slopes,
    hours_since_epoch,
    is_one_cell,
    is_text,
    marks_added,
    marks_of_rows,
    one_cell,
    rows_taken,
    rows_that_differ,
)
from corrosion.common.bounded_process import (
    OUT_OF_MEMORY,
    OUT_OF_TIME,
    bound_this_process,
    child_environment,
    run_bounded,
)
from corrosion.common.csv_file import (
    as_csv,
    formula_safe,
    is_unknown,
    iso_time,
    plain_value,
    row_cells,
    to_json,
)
from corrosion.common.errors import LogMissing, LogRefused, Refusal, TooLittle
from corrosion.common.local_time import (
    ClockReading,
    after_days,
    dates_after_days,
    midnight_before,
    moment_at,
    read_clock,
)
from corrosion.common.remembered import Remembered, are_same
from corrosion.common.side_by_side import side_by_side
from corrosion.common.whole_file import read_plain, write_whole

__all__ = [
    "HOURS_A_DAY",
    "MONTH_H",
    "OUT_OF_MEMORY",
    "OUT_OF_TIME",
    "WHOLE_YEAR_DAYS",
    "YEAR_DAYS",
    "YEAR_H",
    "Z80",
    "Z95",
    "ClockReading",
    "Codes",
    "Floats",
    "LogMissing",
    "LogRefused",
    "Marks",
    "Refusal",
    "Remembered",
    "TooLittle",
    "after_days",
    "are_same",
    "as_csv",
    "bound_this_process",
    "cautions",
    "central_slopes",
    "child_environment",
    "dates_after_days",
    "formatting",
    "formula_safe",
    "hours_since_epoch",
    "is_one_cell",
    "is_text",
    "is_unknown",
    "iso_time",
    "marks_added",
    "marks_of_rows",
    "midnight_before",
    "moment_at",
    "one_cell",
    "plain_value",
    "read_clock",
    "read_plain",
    "row_cells",
    "rows_taken",
    "rows_that_differ",
    "run_bounded",
    "side_by_side",
    "to_json",
    "write_whole",
]
