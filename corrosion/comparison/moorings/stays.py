"""Who lay where, from when to when: spells of hulls in service at their moorings."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import HOURS_A_DAY, hours_since_epoch
from corrosion.exposure import Exposure
from corrosion.records import Checked


def service_of(checked: Checked, exposure: Exposure) -> pd.DataFrame:
    """Return from when to when each hull was in service, as far as the logs run.

    Parameters
    ----------
    checked : Checked
    exposure : Exposure

    Returns
    -------
    DataFrame, index hull code (place in `exposure.hull_ids`): begin_h, end_h (hours since 1970;
    the end is the moment of the report where the hull was not retired before). A hull without a
    date of entry begins with its first berth, fitting or outing. Hulls never berthed are left out.
    """
    on_h = hours_since_epoch(pd.DatetimeIndex([checked.logbook.on]))[0]
    hulls = checked.hulls.drop_duplicates("hull_id").set_index("hull_id")
    hulls = hulls.reindex(exposure.hull_ids)
    first = exposure.berths.groupby("hull")["start_h"].min().reindex(range(len(hulls)))
    entered = hours_since_epoch(hulls["in_service"])
    retired = hours_since_epoch(hulls["retired"])
    begin = np.where(np.isnan(entered), first, np.maximum(entered, first))
    end = np.fmin(retired, on_h)
    table = pd.DataFrame({"begin_h": begin, "end_h": np.maximum(end, begin)})
    return table[table["begin_h"].notna()]


def spells(checked: Checked, exposure: Exposure) -> pd.DataFrame:
    """Return the spells of hulls at moorings, in service.

    Parameters
    ----------
    checked : Checked
    exposure : Exposure

    Returns
    -------
    DataFrame, one row a spell of some length: hull, mooring (codes), afloat (bool), start_h,
    stop_h (hours since 1970), days
    """
    table = exposure.berths.merge(
        service_of(checked, exposure), left_on="hull", right_index=True, how="inner"
    )
    start = np.maximum(table["start_h"], table["begin_h"])
    stop = np.minimum(table["stop_h"], table["end_h"])
    table = table.assign(start_h=start, stop_h=stop, days=(stop - start) / HOURS_A_DAY)
    columns = ["hull", "mooring", "afloat", "start_h", "stop_h", "days"]
    return table.loc[table["days"] > 0, columns].reset_index(drop=True)
