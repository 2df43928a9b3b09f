"""What a schedule of looks takes for granted where a fleet is silent."""

from __future__ import annotations

from corrosion.common import formatting
from corrosion.forecast import Appraisal
from corrosion.workshop.looks.latest import STRAY_LOOK_DAYS
from corrosion.workshop.plan.prices import Prices


def what_is_assumed(appraisal: Appraisal, prices: Prices) -> tuple[str, ...]:
    """Say it, a sentence each.

    Parameters
    ----------
    appraisal : Appraisal
    prices : Prices

    Returns
    -------
    tuple of str
    """
    given = appraisal.logbook.settings.stray_look_days
    waters = sorted({str(each) for each in appraisal.exposure.waters if each in STRAY_LOOK_DAYS})
    silent = [water for water in waters if water not in given]
    days = formatting.listed([f"{STRAY_LOOK_DAYS[water]:.0f} in {water} water" for water in silent])
    strays = f"No stray_look_days in fleet.toml: at most {days} days between two looks are taken."
    register = appraisal.checked.anode_positions
    ruled = register["inspect_days"].notna() | register["inspect_hours"].notna()
    open_ones = int((ruled & register["interval_binds"].isna()).sum())
    advice = (
        f"{formatting.count(open_ones, 'position')} with an interval of the manual but no word in "
        "interval_binds: the interval is taken as advice."
    )
    return (
        *((strays,) if silent else ()),
        *((advice,) if open_ones else ()),
        *prices.assumed,
    )
