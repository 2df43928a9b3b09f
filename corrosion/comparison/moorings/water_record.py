"""The water at each mooring, dated: salinity by its name, temperature, and how both wander."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.chemistry import salinity_from_conductivity, salinity_g_per_kg, venice_name
from corrosion.records import Checked


def water_record(checked: Checked) -> pd.DataFrame:
    """Return every water sample with its salinity, as logged or worked out of its conductivity.

    Parameters
    ----------
    checked : Checked

    Returns
    -------
    DataFrame, one row a sample, by mooring and time: mooring_id, sampled_at (UTC), salinity (g/kg;
    NaN where neither salinity is known nor conductivity with a temperature, its own or the 25 C
    that the meter turned it to), how ('measured',
    'from conductivity', 'not known'), zone (Venice System), temperature_c
    """
    table = checked.water_samples.sort_values(["mooring_id", "sampled_at"], kind="stable")
    logged = table["salinity_g_per_kg"].to_numpy(float)
    worked_out = salinity_g_per_kg(
        salinity_from_conductivity(
            table["conductivity_ms_per_cm"].to_numpy(float),
            table["temperature_c"].to_numpy(float),
            at_25c=table["conductivity_at_25c"].fillna(False).to_numpy(bool),
        )
    )
    salinity = np.where(np.isnan(logged), worked_out, logged)
    how = np.select(
        [~np.isnan(logged), ~np.isnan(worked_out)],
        ["measured", "from conductivity"],
        default="not known",
    )
    return pd.DataFrame(
        {
            "mooring_id": table["mooring_id"].to_numpy(object),
            "sampled_at": table["sampled_at"].to_numpy(),
            "salinity": salinity,
            "how": how,
            "zone": venice_name(salinity),
            "temperature_c": table["temperature_c"].to_numpy(float),
        }
    )


def water_kept(checked: Checked) -> pd.DataFrame:
    """Return what is known of each mooring's water over all samples.

    Parameters
    ----------
    checked : Checked

    Returns
    -------
    DataFrame, one row a mooring of the register: mooring_id, water (as registered), samples,
    salinity_low, salinity_middle, salinity_high (g/kg, 10 %, median and 90 % of the samples; the
    register's own where there are none), zone (of the median), zones (all that were seen, freshest
    first), changes (bool: more than one zone within those 10 and 90 %), disagrees (bool: the median
    lies in another kind of water than the register says), temperature_low, temperature_high (C)
    """
    record = water_record(checked)
    moorings = checked.moorings.drop_duplicates("mooring_id").sort_values("mooring_id")
    rows = [
        _kept(mooring, record[record["mooring_id"] == mooring["mooring_id"]])
        for _, mooring in moorings.iterrows()
    ]
    return pd.DataFrame(rows)


def _kept(mooring: pd.Series, samples: pd.DataFrame) -> dict[str, object]:
    known = samples["salinity"].dropna().to_numpy(float)
    if not known.size:
        known = np.array([mooring["salinity_g_per_kg"]], dtype=float)
    low, middle, high = np.quantile(known, [0.1, 0.5, 0.9])
    ends = [str(zone) for zone in venice_name([low, high]) if zone is not None]
    seen = [str(zone) for zone in venice_name(np.sort(known)) if zone is not None]
    warm = samples["temperature_c"].dropna()
    return {
        "mooring_id": mooring["mooring_id"],
        "water": mooring["water"],
        "samples": len(samples),
        "salinity_low": low,
        "salinity_middle": middle,
        "salinity_high": high,
        "zone": venice_name([middle])[0],
        "zones": ", ".join(dict.fromkeys(seen)),
        "changes": len(set(ends)) > 1,
        "disagrees": _disagrees(mooring["water"], middle),
        "temperature_low": float(warm.min()) if len(warm) else np.nan,
        "temperature_high": float(warm.max()) if len(warm) else np.nan,
    }


def _disagrees(water: object, salinity: float) -> bool:
    """Tell whether the samples contradict the register: fresh that is salty, salt that is fresh.

    Between brackish and salt there is no such line: estuaries of 18 to 30 g/kg are called salt by
    boat people and brackish by the Venice System.
    """
    if np.isnan(salinity) or not isinstance(water, str):
        return False
    return (water == "fresh") != (salinity < 0.5)
