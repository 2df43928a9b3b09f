"""The track record: forecasts as they would have been made, beside what was found afterwards.

`weeks` says which Mondays are gone back to, `said` makes the forecast of one of them from the logs
as they stood, `found` says what the looks since then found, `scores` sets one beside the other,
`kept` remembers forecasts already made, and `book` puts it together. `python -m corrosion.record`
is one of the processes that share the work of going back.
"""

from corrosion.record.book import WEEKS, Record, remembered, track_record
from corrosion.record.scores import by
from corrosion.record.summary import in_one_line

__all__ = ["WEEKS", "Record", "by", "in_one_line", "remembered", "track_record"]
