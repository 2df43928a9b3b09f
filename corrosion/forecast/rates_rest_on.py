"""What an answer rests on: a fleet's own looks, or what is common practice until there are some."""

from __future__ import annotations

import numpy as np

from corrosion.common import formatting
from corrosion.forecast.appraisal import Appraisal

OWN_RATES = 10
"""Pairs of looks at one anode from which on the rates are mostly the fleet's own (judgement)."""

UNFITTED = (
    "The readings contradict each other so far that no rate of wear could be fitted. All rates are "
    "common practice, no source; of the readings only the last size of each anode counts. Look at "
    "the command check, or the page Log check, and mend the sizes and verdicts there."
)


def what_rates_rest_on(appraisal: Appraisal) -> tuple[str, ...]:
    """Say where rates of wear are not yet the fleet's own.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    tuple of str
        Whole sentences; none where enough anodes were measured.
    """
    if appraisal.life.unfitted:
        return (UNFITTED,)
    measured = _stretches(appraisal)
    if measured >= OWN_RATES:
        return ()
    return (
        f"Rates of wear rest on {measured or 'no'} measured "
        f"{'stretch' if measured == 1 else 'stretches'} of this fleet's own (a new anode or a "
        "look, then a later look) and for the rest on common practice, no source; sizes and limits "
        f"are those of your manuals. From about {OWN_RATES} stretches on, weeks apart and over all "
        "waters, the rates are mostly your own; until then the ranges are wide.",
    )


def crust_in_words(appraisal: Appraisal) -> tuple[str, ...]:
    """Say how much of what was read as metal is taken for crust, where any is.

    Parameters
    ----------
    appraisal : Appraisal

    Returns
    -------
    tuple of str
        One sentence or two, or none.
    """
    crust = appraisal.life.model.design.crust
    if crust is None:
        return ()
    unit = appraisal.logbook.settings.length_unit
    return (
        "Anodes that nobody says were cleaned first measure "
        f"{formatting.size(crust.mean_mm, unit)} too large here (crust), by their cleaned looks; "
        "sizes stand as they were read, their metal is taken for so much less. Brush first, then "
        "measure, and tick it.",
    )


def _stretches(appraisal: Appraisal) -> int:
    """Count looks with a size that have a known size before them."""
    looks, lives = appraisal.lives.looks, appraisal.lives.lives
    sized = looks[looks["worn"].notna()]
    first = ~sized.duplicated("life").to_numpy(bool)
    known = lives["start_known"].reindex(sized["life"]).fillna(False).to_numpy(bool)
    return int(np.count_nonzero(~first | known))
