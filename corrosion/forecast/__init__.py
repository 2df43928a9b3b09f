"""What each anode and hull will come to, and how often such a forecast was right.

In: the fit, and use ahead from bookings, habit and season. Out: chance of wear, pull-by dates and
days left (`Forecast`), the whole chain from a folder of logs at once (`appraise`), what is odd,
what if an assumption is wrong, and the track record.

Notes
-----
* Use ahead is learned, then carried through the year. How far bookings and habit told past use is
  measured on the fleet itself; a yearly wave, held back where little of a year is on record,
  carries it on. Taking the last 28 days as they are expected 5 to 25 % too much use in autumn.
* A book that is still filling is no quiet season (`booking_curve`): by the leads of past bookings
  where `entered_at` is kept (an import, half entered on one day, tells nothing), else by how
  steeply the book thins out from this week to three weeks ahead. Where no book tells, the spread
  is that of habit alone (`usage_regression`).
* `whatif` carries the fit ahead under other hours or spreads; nothing is fitted again.
* After an entry, of thousands of hulls, one is worked out again (`standing`): the others stand
  while hours, use ahead, what all share and their own looks are the same to the last bit. A hull is
  known by a mark over all that the fit took of it, 8 bytes; a server's moment is the full hour
  (`records.logbook.moments.full_hour`), a command's the moment itself.
* `Appraisal.habits` is worked out when first asked for; `rank` and `anodes` do not pay for it.
"""

from corrosion.forecast import wear_projection, whatif
from corrosion.forecast.anomalies import odd_ones
from corrosion.forecast.appraisal import (
    Appraisal,
    appraise,
    appraise_from,
    look_ahead,
    require_enough,
)
from corrosion.forecast.backtest import (
    Record,
    forecasts,
    in_one_line,
    looks_in_one_line,
    outcomes,
    record_file,
    remembered,
    scores,
    scores_by,
    track_record,
    widening_asked,
)
from corrosion.forecast.backtest.widening import widening
from corrosion.forecast.berth_rises import felt_rises, surest_rise
from corrosion.forecast.crossing import LEAST_CHANCE
from corrosion.forecast.filled_exposure import exposure_until_now, find_filling
from corrosion.forecast.prospects import Forecast, forecast_fleet
from corrosion.forecast.rates_rest_on import crust_in_words, what_rates_rest_on
from corrosion.forecast.stops import LIFT as LIFT_STOP
from corrosion.forecast.stops import LIKELY as STOP_LIKELY
from corrosion.forecast.stops import RELEASE, stops_in_words, what_lifts
from corrosion.forecast.stops import UNPROTECTED as STOP_UNPROTECTED
from corrosion.forecast.unwritten import in_words as silence_in_words
from corrosion.forecast.unwritten import unwritten
from corrosion.forecast.usage_forecast import Ahead, use_ahead
from corrosion.forecast.wear_paths import Paths
from corrosion.forecast.wear_projection import STATES, project_wear
from corrosion.forecast.whatif import WhatIf, what_if

__all__ = [
    "LEAST_CHANCE",
    "LIFT_STOP",
    "RELEASE",
    "STATES",
    "STOP_LIKELY",
    "STOP_UNPROTECTED",
    "UNEVEN",
    "Ahead",
    "Appraisal",
    "Forecast",
    "Paths",
    "Record",
    "WhatIf",
    "appraise",
    "appraise_from",
    "crust_in_words",
    "exposure_until_now",
    "felt_rises",
    "find_filling",
    "forecast_fleet",
    "forecasts",
    "in_one_line",
    "look_ahead",
    "looks_in_one_line",
    "odd_ones",
    "outcomes",
    "project_wear",
    "record_file",
    "remembered",
    "require_enough",
    "scores",
    "scores_by",
    "silence_in_words",
    "stops_in_words",
    "surest_rise",
    "track_record",
    "unwritten",
    "use_ahead",
    "wear_projection",
    "what_if",
    "what_lifts",
    "what_rates_rest_on",
    "whatif",
    "widening",
    "widening_asked",
]
