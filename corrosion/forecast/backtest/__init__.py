"""The track record: forecasts as they would have been made, beside what was found afterwards.

`weeks` says which Mondays are gone back to, `forecasts` makes the forecast of one of them from the
logs as they stood, `outcomes` says what the looks since then found, `scores` sets one beside the
other, `looks_judged` says how often a look changed what was done, `cache` remembers forecasts
already made, and `runner` puts it together.
`python -m corrosion.forecast.backtest` is one of the processes that share the work of going back.

Notes
-----
* The record judges the *next look*, not a fixed horizon, because anodes are pulled just before
  their limit: those left over within a horizon are the ones that did not need pulling. The
  horizon table stands beside it with its gaps counted.
* What was said wrong is parted (`scores.blame`): the same chances with the engine hours until each
  look known tell use from wear, and looks are counted once, since several Mondays meet at one.
* The factor by which a record widens ranges belongs to the fit (`Fit.widen`), so that every path
  has it, in whatever is asked: the pages take it from the newest record, the commands where they
  are asked with `--widened`, since a run of a command depends on the logs alone. Only widening,
  only by the lower 95 % end, at most 2.5 times, never below 60 looks.
* A record goes back through subprocesses (`python -m corrosion.forecast.backtest`), one a core:
  Streamlit forbids process pools.
"""

from corrosion.forecast.backtest.looks_judged import looks_in_one_line
from corrosion.forecast.backtest.runner import (
    RECORD_WEEKS,
    Record,
    record_file,
    remembered,
    track_record,
    widening_asked,
)
from corrosion.forecast.backtest.scores import scores_by
from corrosion.forecast.backtest.summary import in_one_line

__all__ = [
    "RECORD_WEEKS",
    "Record",
    "in_one_line",
    "looks_in_one_line",
    "record_file",
    "remembered",
    "scores_by",
    "track_record",
    "widening_asked",
]
