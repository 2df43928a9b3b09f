"""Hulls whose wear rose at their last look, or whose berth's did: due sooner than forecast."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.workshop.berth_groups import berth_groups, risen_pace, risen_since, surprises
from corrosion.workshop.plan.prospects import Prospects, brought_forward


def follow_risen_wear(appraisal: Appraisal, ahead: Prospects) -> tuple[Prospects, dict[str, float]]:
    """Bring forward what wears faster since a look that showed it, as the schedule of looks does.

    Parameters
    ----------
    appraisal : Appraisal
    ahead : Prospects

    Returns
    -------
    tuple of Prospects and mapping of hull_id to how many times as fast, hulls alone that rose
    """
    groups = berth_groups(appraisal)
    surprised = surprises(appraisal, groups)
    if not surprised:
        return ahead, {}
    circuit = appraisal.forecast.anodes[["hull_id", "position", "circuit"]]
    keys = ahead.anodes[["hull_id", "position", "last_read_at"]]
    anodes = keys.merge(circuit, on=["hull_id", "position"], how="left", validate="one_to_one")
    faster = risen_pace(anodes, groups, surprised)
    since = risen_since(anodes, groups, surprised, appraisal.forecast.on)
    tolerated = appraisal.logbook.settings.tolerated_risk
    most = pd.Series(faster).groupby(anodes["hull_id"].to_numpy(object)).max()
    risen = {str(hull): float(times) for hull, times in most[most > 1.0].items()}
    return brought_forward(ahead, faster, np.asarray(since), tolerated), risen


def say_risen(risen: Mapping[str, float]) -> tuple[str, ...]:
    """Say of which hulls the plan believes the last look more than the forecast."""
    if not risen:
        return ()
    named = [f"{hull} ({formatting.number(times)} times)" for hull, times in sorted(risen.items())]
    return (
        f"Wear rose at the last look, against the hull's own past or the berth's: "
        f"{formatting.listed(named)}. The plan takes it to go on like that.",
    )
