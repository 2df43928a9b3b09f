"""Whether each anode protects: wear beside its sisters, contact, potential and alloy together.

An anode that does not wear where it should is no saving but an alarm: its casting wears instead.
The chance is Bayes' rule on odds: how rare such anodes are, times what each piece of evidence
says. How rare, and what contact and potential say, is judgement (common practice, no source); what
the looks say is the fit's, against the hull's other anodes.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import pandas as pd
from scipy.special import expit

from corrosion.chemistry import potentials
from corrosion.common import Floats, formatting
from corrosion.exposure import ANODE
from corrosion.forecast.alloys import CRUSTS
from corrosion.records import Checked

RARE_LOG_ODDS: Final = float(np.log(0.025 / 0.975))
"""One anode in forty is painted over, loose, insulated or crusted (common practice, no source)."""
CRUSTED_LOG_ODDS: Final = float(np.log(0.25 / 0.75))
"""The same of zinc in fresh water, which crusts while it looks new (common practice, no source)."""
CONTACT_STEPS_OHM: Final = (
    (potentials.GOOD_CONTACT_OHM, 0.3), (potentials.MOST_CONTACT_OHM, 1.0), (10.0, 8.0),
    (np.inf, 60.0),
)  # fmt: skip
"""Up to so many ohm from anode to casting, the odds are multiplied by so much (limits as
`corrosion.chemistry.potentials`; factors: common practice, no source)."""
POTENTIAL_STEPS_MV: Final = ((-900.0, 0.3), (-800.0, 1.0), (-650.0, 8.0), (np.inf, 40.0))
"""Up to such a potential of the metal that is protected (mV against silver/silver chloride, salt
water), the odds are multiplied by so much (criteria as `corrosion.chemistry.potentials`)."""
PROBABLY: Final = 0.5
LIKELY_WORTH_SAYING: Final = 0.2


def protection_of_anodes(
    anodes: pd.DataFrame, checked: Checked, water: pd.Series, alloys: pd.DataFrame
) -> pd.DataFrame:
    """Give each anode the chance that it is not protecting, and the evidence in words.

    Parameters
    ----------
    anodes : DataFrame, k rows: hull_id, position, fitted_at, beside_sisters, idle_log_odds
        (log of the ratio of the likelihoods, 0 or unknown where no look tells)
    checked : Checked
    water : Series, k rows, the water that each hull lies in
    alloys : DataFrame, as `corrosion.records.alloys_in_place`

    Returns
    -------
    DataFrame, row by row as `anodes`
        `not_protecting` (0 to 1), `protection_evidence` (words, empty where there is none),
        `protection_since` (UTC, of the newest contact or potential that counts).
    """
    alloy = anodes[ANODE].merge(alloys, on=ANODE, how="left")["alloy"]
    crusted = (alloy == CRUSTS).to_numpy(bool) & (water == "fresh").to_numpy(bool)
    odds = np.where(crusted, CRUSTED_LOG_ODDS, RARE_LOG_ODDS)
    idle = np.nan_to_num(anodes["idle_log_odds"].to_numpy(float), nan=0.0)
    bond = _newest(checked, anodes, "bond_ohm")
    potential = _newest(checked, anodes, "potential_mv")
    salt = (water == "salt").to_numpy(bool)
    by_contact = _stepped(bond["value"].to_numpy(float), CONTACT_STEPS_OHM)
    by_potential = np.where(
        salt, _stepped(potential["value"].to_numpy(float), POTENTIAL_STEPS_MV), 0.0
    )
    chance = expit(odds + idle + by_contact + by_potential)
    parts = (
        anodes["beside_sisters"].to_numpy(float), idle, bond["value"].to_numpy(float), by_contact,
        potential["value"].to_numpy(float), by_potential, crusted,
    )  # fmt: skip
    reasons = np.full(len(anodes), "", dtype=object)
    # of most anodes nothing is to be said
    for row in np.flatnonzero((idle > 1.0) | (by_contact > 0) | (by_potential > 0) | crusted):
        reasons[row] = _evidence(*(part[row] for part in parts))
    since = (
        bond["read_at"]
        .where(by_contact > 0)
        .combine_first(potential["read_at"].where(by_potential > 0))
    )
    return pd.DataFrame(
        {"not_protecting": chance, "protection_evidence": reasons, "protection_since": since},
        index=anodes.index,
    )


def _newest(checked: Checked, anodes: pd.DataFrame, column: str) -> pd.DataFrame:
    """Return each anode's newest value since it was fitted, and when: value, read_at."""
    known = checked.readings.dropna(subset=[column]).sort_values("read_at", kind="stable")
    last = known.drop_duplicates(ANODE, keep="last")[[*ANODE, "read_at", column]]
    table = anodes[[*ANODE, "fitted_at"]].merge(last, on=ANODE, how="left")
    stale = table["fitted_at"].notna() & (table["read_at"] < table["fitted_at"])
    value = table[column].astype(float).mask(stale)
    return pd.DataFrame({"value": value, "read_at": table["read_at"].mask(value.isna())}).set_axis(
        anodes.index
    )


def _stepped(value: Floats, steps: tuple[tuple[float, float], ...]) -> Floats:
    """Return the log of the factor of the step that each value falls into, 0 where unknown."""
    limits, factors = np.array(steps).T
    step = np.searchsorted(limits, np.where(np.isnan(value), 0.0, value))
    return np.asarray(np.where(np.isnan(value), 0.0, np.log(factors)[step]))


def _evidence(
    pace: float, idle: float, ohm: float, by_contact: float, potential_mv: float,
    by_potential: float, crusted: bool,
) -> str:  # fmt: skip
    reasons = []
    if idle > 1.0 and np.isfinite(pace):
        reasons.append(f"wears {formatting.number(max(pace, 0.0))} times what its sisters do")
    if by_contact > 0:
        reasons.append(f"{formatting.number(ohm)} ohm to the casting")
    if by_potential > 0:
        reasons.append(f"potential {formatting.number(potential_mv)} mV")
    if crusted:
        reasons.append("zinc in fresh water, which crusts")
    return ", ".join(reasons)


def protection_of_hulls(anodes: pd.DataFrame, hulls: pd.DataFrame) -> pd.DataFrame:
    """Give each hull its verdict: the chance that its worst anode is not protecting, in words.

    Parameters
    ----------
    anodes : DataFrame: hull_id, position, not_protecting, protection_evidence
    hulls : DataFrame: hull_id

    Returns
    -------
    DataFrame, row by row as `hulls`
        `not_protecting` (0 to 1, unknown where no anode was ever seen), `protection` (words).
    """
    told = ["hull_id", "position", "not_protecting", "protection_evidence"]
    known = anodes.loc[anodes["not_protecting"].notna(), told]
    worst = known.sort_values("not_protecting", ascending=False, kind="stable")
    worst = worst.drop_duplicates("hull_id").set_index("hull_id").reindex(hulls["hull_id"])
    return pd.DataFrame(
        {
            "not_protecting": worst["not_protecting"].to_numpy(float),
            "protection": [_verdict(row) for row in worst.to_dict("records")],
        },
        index=hulls.index,
    )


def _verdict(row: dict[Any, Any]) -> str:
    chance = float(row["not_protecting"])
    if np.isnan(chance):
        return "not known: no anode was ever seen"
    if chance < LIKELY_WORTH_SAYING:
        return "nothing speaks against it"
    how = "is probably not protecting" if chance >= PROBABLY else "may not be protecting"
    evidence = f": {row['protection_evidence']}" if row["protection_evidence"] else ""
    return f"{row['position']} {how} ({formatting.chance(chance)}){evidence}"
