"""What was measured with meter and reference electrode, gathered."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from corrosion.chemistry.drift import potential_drift
from corrosion.chemistry.measured import measured_meanings
from corrosion.records import Logbook


@dataclass(frozen=True)
class OnRecord:
    """Potentials and contact resistances on record.

    Attributes
    ----------
    measured : DataFrame
        The newest of each anode, as `measured_meanings` gives them.
    drift : DataFrame
        One row a hull, as `potential_drift` gives them.
    last_potentials : DataFrame
        The newest reading with a potential (mV) of each anode: columns of the log `readings`.
    """

    measured: pd.DataFrame
    drift: pd.DataFrame
    last_potentials: pd.DataFrame


def chemistry_on_record(logbook: Logbook) -> OnRecord:
    """Read the potentials and contact resistances on record.

    Parameters
    ----------
    logbook : Logbook

    Returns
    -------
    OnRecord
    """
    known = logbook.readings.dropna(subset=["potential_mv"]).sort_values("read_at", kind="stable")
    last = known.drop_duplicates(["hull_id", "position"], keep="last")
    return OnRecord(measured_meanings(logbook), potential_drift(logbook), last)
