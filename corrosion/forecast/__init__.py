"""What each anode and hull will come to, and how often such a forecast was right.

In: the fit, and use ahead from bookings, habit and season. Out: chance of wear, pull-by dates and
days left (`Forecast`), the whole chain from a folder of logs at once (`appraise`), what is odd,
what if an assumption is wrong, and the track record.
"""

from corrosion.forecast import wear_projection, whatif
from corrosion.forecast.anomalies import odd_ones
from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.forecast.backtest import (
    Record,
    by,
    forecasts,
    in_one_line,
    outcomes,
    remembered,
    scores,
    track_record,
)
from corrosion.forecast.backtest.widening import widening
from corrosion.forecast.filled_exposure import exposure_until_now
from corrosion.forecast.prospects import Forecast, forecast
from corrosion.forecast.unwritten import in_words as silence_in_words
from corrosion.forecast.unwritten import unwritten
from corrosion.forecast.usage_forecast import Ahead, use_ahead
from corrosion.forecast.wear_projection import LEAST_CHANCE, STATES, UNEVEN, Paths, paths
from corrosion.forecast.whatif import WhatIf, what_if

__all__ = [
    "LEAST_CHANCE",
    "STATES",
    "UNEVEN",
    "Ahead",
    "Appraisal",
    "Forecast",
    "Paths",
    "Record",
    "WhatIf",
    "appraise",
    "by",
    "exposure_until_now",
    "forecast",
    "forecasts",
    "in_one_line",
    "odd_ones",
    "outcomes",
    "paths",
    "remembered",
    "scores",
    "silence_in_words",
    "track_record",
    "unwritten",
    "use_ahead",
    "wear_projection",
    "what_if",
    "whatif",
    "widening",
]
