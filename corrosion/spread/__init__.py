"""The same answers from several machines: hulls in parts, each part with a worker of its own.

In: the address of a Dask scheduler, and a fleet's folder on any filesystem that fsspec opens. Out:
an `Appraisal` as `corrosion.forecast.appraise` gives it, to rounding (sums are added in another
order). Nothing else imports Dask, and a fleet that asks for no workers never does.

Notes
-----
* Spread are the logs that grow with use: outings and flushes are read file by file, taken apart by
  hull, settled, checked and summed into clocks where they lie; what the fit and the forecast ask
  of the clocks is asked there; each step of the climb adds up value and gradient part by part.
* Done once, where the question is asked: everything that sets a hull beside others. Readings are
  checked beside the usual wear and the usual reading error of their position in the whole fleet;
  silences by mooring; the sample of hulls that climbs first; trust in looks; use ahead, which is
  learned on the fleet; comparison with sisters, rises at a berth; paths, which are slopes by the
  fleet's parameters. For them registers, readings, fittings and bookings are read whole, and of
  outings start, end, engine hours and entry alone are brought in.
* What hulls of a mooring share about flushing goes round in between (`corrosion.exposure.by_part`).
* A part rests on files alone, so one that is lost with its worker is worked out again by another.
* A correction is read by every part, for it may move a row from hull to hull.
* Findings of `check` that are notes are not looked for; that command runs in one process.
"""

from corrosion.spread.appraising import appraise_with_workers

__all__ = ["appraise_with_workers"]
