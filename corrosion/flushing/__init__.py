"""What flushing saves in wear, and whether these logs can tell.

engine        the life model of the engine circuit alone
returns       the returns behind the comparison, hull by hull, and the naive comparison
policy        who is flushed when
estimand      the fleet's own hours, as they were and flushed, worn by any rates
log_readings  how the flush log may be read where it does not say what happened
profile       the likelihood of a share saved, and whether nothing saved fits as well
verdict       one verdict with its interval
"""

from corrosion.flushing.answer import Verdict
from corrosion.flushing.report import Evidence, Report, report
from corrosion.flushing.verdict import flushing

__all__ = ["Evidence", "Report", "Verdict", "flushing", "report"]
