"""What a potential, a contact resistance and a wear rate mean, read against sources and sisters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.chemistry.galvanic import (
    CURRENT_CAPACITIES,
    capacity_ah_per_kg,
    current_density_a_per_m2,
)

PROTECTED_MV: Final = {"steel": -800.0, "aluminium": -950.0, "stainless": -500.0, "bronze": -550.0}
"""A metal in sea water counts as protected at this potential against silver/silver chloride or
below. Steel and stainless: common criteria of cathodic protection (NACE SP0176, EN 12473, from
memory); aluminium: boat standard, from memory; bronze: the upper end of the usual window of
glass-fibre boats with mixed metals (trade press)."""
PROTECTED_STEEL_MV: Final = PROTECTED_MV["steel"]
TOO_NEGATIVE_MV: Final = -1100.0
"""Below about this, against silver/silver chloride, aluminium castings and hulls are overprotected:
alkaline attack, and paint blisters (usual window -550 to -1100 mV for glass-fibre boats with mixed
metals, trade press; aluminium -950 to -1100 mV, boat standard, from memory)."""
OWN_WITHIN_MV: Final = 60.0
"""So close to its own potential an anode gives next to no current (common practice, no source)."""
GOOD_CONTACT_OHM: Final = 0.1
"""Resistance of a bond from anode to casting up to which next to nothing is lost (from memory)."""
MOST_CONTACT_OHM: Final = 1.0
"""The most that the boat standard allows for a bonding path (from memory)."""
DRIVE_V: Final = 0.25
"""Driving voltage of zinc and aluminium (Pipeline Rules of Thumb Handbook, p. 206 table 4)."""
USUAL_MA: Final = 100.0
"""A usual current of a small anode (common practice, no source)."""
IN_SERVICE_A_PER_M2: Final = {"zinc": 6.5, "aluminium": 10.8}
"""The most that the same handbook's table 3 gives for anodes in service (36 to 600 mA a square foot
of zinc)."""
ALARM_A_PER_M2: Final = 15.0


@dataclass(frozen=True)
class Meaning:
    """A sentence on one reading, with the source of what it was read against."""

    says: str
    source: str
    alarm: bool


def potential_means(potential_mv: float, alloy: str, metal: str | None = None) -> Meaning:
    """Say what a potential measured on the protected metal means beside its anode's alloy.

    The anode's own potential is what it shows when it gives no current; the metal that it protects
    is drawn down towards it. Only salt water and silver/silver chloride are meant.

    Parameters
    ----------
    potential_mv : float
        Against silver/silver chloride, mV.
    alloy : {'zinc', 'aluminium', 'magnesium'}
        The alloy of the anode.
    metal : {'aluminium', 'steel', 'stainless', 'bronze'}, optional
        The metal that was touched; where it is not known, the criterion for steel is taken, and
        said to be steel's.

    Returns
    -------
    Meaning
    """
    row = CURRENT_CAPACITIES[CURRENT_CAPACITIES["alloy"] == alloy]
    own_mv = 1000.0 * float(row["potential_v"].iloc[0])
    beside = f"the {alloy} anode's own potential is {own_mv:.0f} mV"
    touched = metal or "steel"
    limit_mv = PROTECTED_MV[touched]
    source = f"{row['source'].iloc[0]}; criterion for {touched} from memory"
    if potential_mv > 0:
        return Meaning(
            f"{potential_mv:.0f} mV is above zero: the leads may be swapped, or the reference is "
            "another one. Measure again.", source, True,
        )  # fmt: skip
    if potential_mv < TOO_NEGATIVE_MV:
        return Meaning(
            f"{potential_mv:.0f} mV: protected, and too negative. Below about "
            f"{TOO_NEGATIVE_MV:.0f} mV aluminium castings and hulls are overprotected (alkaline "
            f"attack, paint blisters); {beside}. Look for magnesium, a charger or an impressed "
            "source, and ask a qualified marine electrician.",
            f"{source}; window of boats with mixed metals: trade press, and from memory", True,
        )  # fmt: skip
    if potential_mv < own_mv - OWN_WITHIN_MV:
        return Meaning(
            f"{potential_mv:.0f} mV lies below what this anode can do ({beside}): a slip, "
            "another alloy, or current from outside. Overprotection corrodes "
            "aluminium: ask a qualified marine electrician.", source, True,
        )  # fmt: skip
    if potential_mv <= own_mv + OWN_WITHIN_MV:
        return Meaning(
            f"{potential_mv:.0f} mV is at the anode's own potential ({beside}): protected, and the "
            "anode has little to do.", source, False,
        )  # fmt: skip
    ask_metal = "" if metal else (
        f" Aluminium wants {PROTECTED_MV['aluminium']:.0f} to {TOO_NEGATIVE_MV:.0f} mV: write down "
        "which metal was touched."
    )  # fmt: skip
    if potential_mv <= limit_mv:
        return Meaning(
            f"{potential_mv:.0f} mV: protected by the usual criterion for {touched} "
            f"({limit_mv:.0f} mV or below); {beside}.{ask_metal}", source, False,
        )  # fmt: skip
    return Meaning(
        f"{potential_mv:.0f} mV is above {limit_mv:.0f} mV, the criterion for {touched}: the anode "
        f"does not reach this metal ({beside}). Look at bond, paint, crust and size.", source, True,
    )  # fmt: skip


FRESHER_G_PER_KG: Final = 10.0
"""Below so much salt a silver/silver chloride electrode no longer shows what it shows at sea."""
SEA_G_PER_KG: Final = 35.0
MV_A_DECADE: Final = 59.2
"""Shift of an open silver/silver chloride electrode for each tenfold of chloride, mV (Nernst, 25 C;
electrodes that are filled with their own salt shift less)."""


def in_brackish_water(
    potential_mv: float, alloy: str, metal: str | None, salinity: float
) -> Meaning:
    """Say what a potential means in brackish water, where the reference itself has shifted.

    With less chloride an open silver/silver chloride electrode stands higher, so that the metal
    beside it reads too negative, better protected than it is.

    Parameters
    ----------
    potential_mv, alloy, metal : as in `potential_means`
    salinity : float
        Of the water, g/kg; NaN where it is not known.

    Returns
    -------
    Meaning
    """
    as_read = potential_means(potential_mv, alloy, metal)
    if salinity >= FRESHER_G_PER_KG:
        return as_read
    source = f"{as_read.source}; shift by Nernst's law, open electrodes"
    if not salinity > 0:
        says = (
            f"{as_read.says} Brackish water: below about {FRESHER_G_PER_KG:.0f} g/kg the reference "
            "itself shifts and metal reads too negative; sample the water."
        )
        return Meaning(says, source, as_read.alarm)
    shift_mv = MV_A_DECADE * float(np.log10(SEA_G_PER_KG / salinity))
    at_sea = potential_means(potential_mv + shift_mv, alloy, metal)
    says = (
        f"{as_read.says} In water of {salinity:.2g} g/kg an open reference reads about "
        f"{shift_mv:.0f} mV too negative: about {potential_mv + shift_mv:.0f} mV as at sea"
    )
    end = f". {at_sea.says}" if at_sea.alarm and not as_read.alarm else "."
    return Meaning(says + end, source, as_read.alarm or at_sea.alarm)


def contact_means(bond_ohm: float, sisters_ohm: float | None = None) -> Meaning:
    """Say what a resistance between anode and casting means.

    Parameters
    ----------
    bond_ohm : float
        Measured with the cable off, ohm.
    sisters_ohm : float, optional
        The middle of the fleet's own readings at that position, which comes first where it is
        known.

    Returns
    -------
    Meaning
    """
    if sisters_ohm is not None and np.isfinite(sisters_ohm) and sisters_ohm > 0:
        times = bond_ohm / sisters_ohm
        bad = times > 3.0 and bond_ohm > GOOD_CONTACT_OHM
        contact = (
            f"{bond_ohm:g} ohm, {times:.1f} times the middle of its sisters ({sisters_ohm:g} ohm)"
        )
        end = "clean the seat and measure again" if bad else "as they are"
        return Meaning(f"{contact}: {end}.", "this fleet's own readings", bad)
    lost = min(bond_ohm * USUAL_MA / 1000.0 / DRIVE_V, 1.0)
    cost = f"at {USUAL_MA:.0f} mA it takes {lost:.0%} of a drive of {DRIVE_V:g} V"
    bad = bond_ohm > MOST_CONTACT_OHM
    end = f"within what is allowed for a bond (1 ohm), and {cost}: clean the seat"
    if bad:
        end = f"poor contact, {cost}: clean the seat, check the fastening"
    if bond_ohm <= GOOD_CONTACT_OHM:
        end = "good contact"
    return Meaning(
        f"{bond_ohm:g} ohm: {end}.",
        "boat standard, from memory: 1 ohm at most, 0.1 ohm or less is good", bad,
    )  # fmt: skip


def mean_current_ma(mass_lost_g: float, days: float, alloy: str) -> float:
    """Return the mean current that a loss of metal stands for, mA, by Faraday's law.

    Parameters
    ----------
    mass_lost_g : float
        Metal lost, g.
    days : float
        Over so many days.
    alloy : {'zinc', 'aluminium', 'magnesium'}

    Returns
    -------
    float
        mA, at the alloy's usual efficiency.
    """
    return float(mass_lost_g * capacity_ah_per_kg(alloy) / (24.0 * days))


def mass_lost_g(current_ma: float, days: float, alloy: str) -> float:
    """Return the metal that a mean current takes, g: `mean_current_ma` the other way round."""
    return float(current_ma * 24.0 * days / capacity_ah_per_kg(alloy))


def wear_means(mm_per_year: float, alloy: str) -> Meaning:
    """Say which mean current density a wear of the surface stands for, by Faraday's law.

    Parameters
    ----------
    mm_per_year : float
        Wear of the surface, mm a year; half of what a diameter loses.
    alloy : {'zinc', 'aluminium', 'magnesium'}

    Returns
    -------
    Meaning
    """
    density = float(current_density_a_per_m2(mm_per_year, alloy))
    rate = f"{mm_per_year:g} mm a year is a mean of {density:.2g} A/m2"
    source = "Faraday's law (CODATA), usual efficiency of the alloy"
    if density > ALARM_A_PER_M2:
        return Meaning(
            f"{rate}: a mistake in the data, or stray current. Measure again; have the berth "
            "tested by a qualified marine electrician.", source, True,
        )  # fmt: skip
    if density > IN_SERVICE_A_PER_M2.get(alloy, np.inf):
        return Meaning(
            f"{rate}: more than the handbook gives for {alloy} in service "
            f"(up to {IN_SERVICE_A_PER_M2[alloy]:g} A/m2). Look again soon.",
            f"{source}; Pipeline Rules of Thumb Handbook, p. 206 table 3", False,
        )  # fmt: skip
    if mm_per_year < 0.08:
        return Meaning(
            f"{rate}: in salt water, an anode that wears so little is not connected.",
            f"{source}; 0.08 mm a year: common practice, no source", True,
        )  # fmt: skip
    return Meaning(f"{rate}.", source, False)
