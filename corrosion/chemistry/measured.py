"""Every hull's newest potential and contact resistance, and what they mean where it lies."""

from __future__ import annotations

import pandas as pd

from corrosion.chemistry.galvanic import CURRENT_CAPACITIES
from corrosion.chemistry.potentials import (
    SEA_G_PER_KG,
    Meaning,
    contact_means,
    in_brackish_water,
)
from corrosion.records import Logbook


def measured_meanings(logbook: Logbook) -> pd.DataFrame:
    """Read every hull's newest potential and contact resistance.

    Parameters
    ----------
    logbook : Logbook

    Returns
    -------
    DataFrame
        One row an anode's newest such reading: `hull_id`, `position`, `read_at` (UTC), `what`
        (``potential`` or ``contact``), `says`, `source`, `alarm`; alarms first.
    """
    alloys, salinity = _alloys_in_place(logbook), _salinity_of_hulls(logbook)
    readings = logbook.readings.sort_values("read_at", kind="stable")
    sisters = readings.groupby("position")["bond_ohm"].median()
    rows = []
    fresh = _hulls_in_fresh(logbook)
    for column, what in (("potential_mv", "potential"), ("bond_ohm", "contact")):
        last = readings.dropna(subset=[column]).drop_duplicates(
            ["hull_id", "position"], keep="last"
        )
        for row in last.itertuples():
            anode = (str(row.hull_id), str(row.position))
            value = float(getattr(row, column))
            if what == "contact":
                few = readings["bond_ohm"].notna().sum() < 5
                meaning = contact_means(value, None if few else float(sisters[anode[1]]))
            elif anode in alloys:
                metal = row.touched_metal if isinstance(row.touched_metal, str) else None
                meaning = in_brackish_water(
                    value, alloys[anode], metal, salinity.get(anode[0], SEA_G_PER_KG)
                )
                meaning = _in_fresh(value) if anode[0] in fresh else meaning
            else:
                continue
            rows.append((*anode, row.read_at, what, meaning.says, meaning.source, meaning.alarm))
    columns = ["hull_id", "position", "read_at", "what", "says", "source", "alarm"]
    table = pd.DataFrame(rows, columns=columns)
    return table.sort_values("alarm", ascending=False, kind="stable", ignore_index=True)


def _in_fresh(potential_mv: float) -> Meaning:
    return Meaning(
        f"{potential_mv:.0f} mV in fresh water, where the criterion for sea water does not hold: "
        "compare it with the hull's own past.",
        "the hull's own drift, below",
        potential_mv > 0,
    )


def _hulls_in_fresh(logbook: Logbook) -> set[str]:
    """Return the hulls whose last berth lies in fresh water."""
    last = _last_berths(logbook)
    return set(last.loc[last["water"] == "fresh", "hull_id"].astype(str))


def _salinity_of_hulls(logbook: Logbook) -> dict[str, float]:
    """Return the salinity, g/kg, where a hull lies in brackish water: sampled last, else listed."""
    last = _last_berths(logbook)
    samples = logbook.water_samples.dropna(subset=["salinity_g_per_kg"])
    sampled = samples.sort_values("sampled_at").drop_duplicates("mooring_id", keep="last")
    measured = last["mooring_id"].map(sampled.set_index("mooring_id")["salinity_g_per_kg"])
    known = measured.astype(float).fillna(last["salinity_g_per_kg"].astype(float))
    brackish = last["water"] == "brackish"
    return dict(zip(last.loc[brackish, "hull_id"].astype(str), known[brackish], strict=True))


def _last_berths(logbook: Logbook) -> pd.DataFrame:
    berths = logbook.berths.sort_values("since", kind="stable")
    last = berths.drop_duplicates("hull_id", keep="last")[["hull_id", "mooring_id"]]
    moorings = logbook.moorings[["mooring_id", "water", "salinity_g_per_kg"]]
    return last.merge(moorings.drop_duplicates("mooring_id"), on="mooring_id")


def _alloys_in_place(logbook: Logbook) -> dict[tuple[str, str], str]:
    """Return the alloy of each anode: the one fitted last, else the one listed."""
    listed = logbook.hulls[["hull_id", "layout"]].merge(
        logbook.anode_positions[["layout", "position", "alloy"]], on="layout"
    )
    fitted = logbook.fittings.sort_values("fitted_at", kind="stable")
    fitted = fitted.drop_duplicates(["hull_id", "position"], keep="last").dropna(subset=["alloy"])
    both = pd.concat([listed, fitted])[["hull_id", "position", "alloy"]].astype(object)
    known = both[both["alloy"].isin(CURRENT_CAPACITIES["alloy"])]
    pairs = zip(known["hull_id"], known["position"], known["alloy"], strict=True)
    return {(str(hull), str(position)): str(alloy) for hull, position, alloy in pairs}
