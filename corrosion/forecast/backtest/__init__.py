"""The track record: forecasts as they would have been made, beside what was found afterwards.

`weeks` says which Mondays are gone back to, `forecasts` makes the forecast of one of them from the
logs as they stood, `outcomes` says what the looks since then found, `scores` sets one beside the
other, `cache` remembers forecasts already made, and `runner` puts it together.
`python -m corrosion.forecast.backtest` is one of the processes that share the work of going back.
"""

from corrosion.forecast.backtest.runner import (
    WEEKS,
    Record,
    record_file,
    remembered,
    track_record,
    widening_asked,
)
from corrosion.forecast.backtest.scores import by
from corrosion.forecast.backtest.summary import in_one_line

__all__ = [
    "WEEKS",
    "Record",
    "by",
    "in_one_line",
    "record_file",
    "remembered",
    "track_record",
    "widening_asked",
]
