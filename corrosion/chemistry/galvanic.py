"""Galvanic anodes: capacities, weights, wear against current, alloys and waters.

The numbers stand here as data, each with its source. They explain and cross-check; the life of an
anode is always estimated from the fleet's own readings, and an engine's manual, the part's own
limit and local rules always win.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy import constants

from corrosion.chemistry.salinity import (
    practical_salinity,
    salinity_from_conductivity,
    salinity_g_per_kg,
    venice_name,
    venice_words,
)
from corrosion.common import YEAR_H

__all__ = [
    "ALLOYS_AND_WATERS", "CAPACITY_RANGES", "CAUTIONS", "CURRENT_CAPACITIES", "DRIVING_VOLTAGES",
    "METALS", "Advice", "Metal", "advise", "capacity_ah_per_kg", "current_density_a_per_m2",
    "practical_salinity", "salinity_from_conductivity", "salinity_g_per_kg", "venice_name",
    "venice_words", "wear_beside", "wear_rate_mm_per_year",
]  # fmt: skip

FloatArray = npt.NDArray[np.float64]

FARADAY_C_PER_MOL: float = constants.physical_constants["Faraday constant"][0]  # CODATA
COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Metal:
    """What Faraday's law needs to know of an anode metal.

    Attributes
    ----------
    molar_mass_g_per_mol : float
        Standard atomic weight, abridged (IUPAC 2021), g/mol.
    electrons : int
        Electrons given up by each atom.
    density_kg_per_m3 : float
        Density near 20 C, kg/m3 (CRC Handbook of Chemistry and Physics, from memory).
    efficiency : float
        Usual share of the theoretical capacity that protects, 0..1.
    efficiency_source : str
        Where that share comes from.
    """

    molar_mass_g_per_mol: float
    electrons: int
    density_kg_per_m3: float
    efficiency: float
    efficiency_source: str

    @property
    def theoretical_ah_per_kg(self) -> float:
        """Charge set free by 1 kg, Ah/kg: zF / (3.6 M)."""
        return self.electrons * FARADAY_C_PER_MOL / (3.6 * self.molar_mass_g_per_mol)


METALS: Mapping[str, Metal] = {
    "zinc": Metal(65.38, 2, 7140.0, 0.95, "354 Ah/lb in sea water, as CURRENT_CAPACITIES"),
    "aluminium": Metal(26.982, 3, 2700.0, 0.85, "1150 Ah/lb in sea water, as CURRENT_CAPACITIES"),
    "magnesium": Metal(
        24.305, 2, 1740.0, 0.50, "Corrosion Engineering: Principles and Practice, p. 554-555"
    ),
}
"""The three anode metals by the name of their alloy in the logs."""

CURRENT_CAPACITIES = pd.DataFrame(
    [
        ("zinc", 354.0, 354.0, -1.03),
        ("aluminium", 1150.0, 1204.0, -1.10),
        ("magnesium", 400.0, 500.0, -1.53),
    ],
    columns=["alloy", "low_ah_per_lb", "high_ah_per_lb", "potential_v"],
).assign(source="Pipeline Rules of Thumb Handbook, p. 206 table 3")
"""Capacity and potential (V against silver/silver chloride) in sea water, one row an alloy."""

CAPACITY_RANGES = pd.DataFrame(
    [
        ("zinc", 780.0, 780.0, -1.00, "handbook, p. 206 table 3: 354 Ah/lb"),
        ("aluminium", 2000.0, 2800.0, -1.05,
         "design codes, from memory, to a corrosion handbook; the table's 2535 to 2654 are of one "
         "trade-named alloy"),
        ("magnesium", 880.0, 1100.0, np.nan,
         "handbook, p. 206 table 3: 400 to 500 Ah/lb; Corrosion Engineering, p. 554-555: 1100"),
    ],
    columns=["alloy", "low_ah_per_kg", "high_ah_per_kg", "closed_circuit_v", "source"],
)  # fmt: skip
"""Capacity as the sources give it, one row an alloy; potential under load (V against silver/silver
chloride, from memory), NaN where none is on record."""

DRIVING_VOLTAGES = pd.DataFrame(
    [
        ("magnesium", "fresh water and soil", 200.0, 10_000.0, 0.90),
        ("aluminium", "sea water", 0.0, 200.0, 0.25),
        ("zinc", "sea water, brine, underground", 0.0, 1_500.0, 0.25),
    ],
    columns=["alloy", "water", "from_ohm_cm", "to_ohm_cm", "driving_v"],
).assign(source="Pipeline Rules of Thumb Handbook, p. 206 table 4")
"""Driving voltage against protected steel, V, and the resistivities where the alloy is used."""

CAUTIONS: Mapping[str, str] = {
    "zinc": "Zinc crusts in fresh water and stops protecting while it looks new; the crust may "
    f"persist after the move back to salt ({COMMON_PRACTICE}). It may hold cadmium, which is toxic "
    "as dust: 0.025 to 0.15 % (TP-17 table 1), at most 0.07 % in the newer issue of the military "
    "specification (from memory).",
    "aluminium": "Aluminium is amphoteric: overprotection corrodes an aluminium hull or casting "
    "(ABYC E-2, 7/01, 2.4).",
    "magnesium": "Magnesium is gone in weeks in salt water and may blister paint; its chips burn: "
    f"no water on them ({COMMON_PRACTICE}).",
}
"""What to say beside each alloy, with its source."""

_ADVICE = [
    ("zinc", "salt", "suits", False, "the usual alloy in salt water"),
    ("zinc", "brackish", "watch", False, "crusts as the water gets fresher: look at it often"),
    ("zinc", "fresh", "crusts", True, "crusts over and stops protecting while it looks new"),
    ("aluminium", "salt", "suits", False, "a usual alloy in salt water"),
    ("aluminium", "brackish", "suits", False, "the usual alloy in brackish water"),
    ("aluminium", "fresh", "sources disagree", False,
     "some sources allow aluminium in fresh water, others say that it goes passive there"),
    ("magnesium", "salt", "spent fast", True, "gone in weeks, and may blister paint: a hard stop"),
    ("magnesium", "brackish", "spent fast", True, "spent fast, and may blister paint"),
    ("magnesium", "fresh", "suits", False, "the usual alloy in fresh water"),
]  # fmt: skip
ALLOYS_AND_WATERS = pd.DataFrame(
    _ADVICE, columns=["alloy", "water", "verdict", "stop", "why"]
).assign(source=COMMON_PRACTICE)
"""Each alloy against each water of the logs; `stop` where it must not go in without a question."""


@dataclass(frozen=True)
class Advice:
    """One alloy against one water: verdict, whether to stop, why, and the alloy's caution."""

    alloy: str
    water: str
    verdict: str
    stop: bool
    why: str
    caution: str


def advise(alloy: str, water: str) -> Advice:
    """Look one alloy up against one water.

    Parameters
    ----------
    alloy : {'zinc', 'aluminium', 'magnesium'}
        Alloy, by its name in the logs.
    water : {'salt', 'brackish', 'fresh'}
        Kind of water, by its name in the logs.

    Returns
    -------
    Advice

    Raises
    ------
    ValueError
        If the table has no such pair.
    """
    table = ALLOYS_AND_WATERS
    row = table[(table["alloy"] == alloy) & (table["water"] == water)]
    if row.empty:
        raise ValueError(f"no advice for alloy {alloy!r} in {water!r} water")
    advice = row.iloc[0]
    verdict, stop, why = advice["verdict"], bool(advice["stop"]), advice["why"]
    return Advice(alloy, water, verdict, stop, why, CAUTIONS[alloy])


def capacity_ah_per_kg(alloy: str, efficiency: float | None = None) -> float:
    """Charge that 1 kg of anode gives to protection, Ah/kg.

    Parameters
    ----------
    alloy : {'zinc', 'aluminium', 'magnesium'}
        Alloy, by its name in the logs.
    efficiency : float, optional
        Share of the theoretical capacity, 0..1; the usual one of the metal when left out, 1 for
        the theoretical capacity.
    """
    metal = METALS[alloy]
    return metal.theoretical_ah_per_kg * (metal.efficiency if efficiency is None else efficiency)


def wear_rate_mm_per_year(
    current_density: npt.ArrayLike, alloy: str, efficiency: float | None = None
) -> FloatArray:
    """Wear of an anode's surface, mm a year, by Faraday's law.

    Parameters
    ----------
    current_density : array_like
        Mean current that the anode gives, A per m2 of its surface, any shape.
    alloy : {'zinc', 'aluminium', 'magnesium'}
        Alloy, by its name in the logs.
    efficiency : float, optional
        As in `capacity_ah_per_kg`: a lower one wears faster for the same current.

    Returns
    -------
    ndarray
        Of the same shape. A pencil's diameter loses twice this.
    """
    ah_per_m3 = capacity_ah_per_kg(alloy, efficiency) * METALS[alloy].density_kg_per_m3
    m_per_year = np.asarray(current_density, dtype=np.float64) * YEAR_H / ah_per_m3
    return np.asarray(1000.0 * m_per_year)


def current_density_a_per_m2(
    wear_mm_per_year: npt.ArrayLike, alloy: str, efficiency: float | None = None
) -> FloatArray:
    """Mean current density, A/m2, that explains a wear of the surface in mm a year."""
    per_ampere = wear_rate_mm_per_year(1.0, alloy, efficiency)
    return np.asarray(np.asarray(wear_mm_per_year, dtype=np.float64) / per_ampere)


PROTECTED_METAL_V = -0.80
"""What an anode works against: protected steel, V against silver/silver chloride (common criterion
of cathodic protection, from memory)."""


def wear_beside(fitted: str, listed: str) -> float:
    """Return how many times as fast one alloy's surface goes as another's in the same place.

    The same wetted path carries current in proportion to the driving voltage, and a litre of metal
    lasts as long as its capacity and density say; both from `CURRENT_CAPACITIES` (the middle of the
    capacity). It is a guess to start from: crusts and circuits decide what really happens.

    Parameters
    ----------
    fitted, listed : {'zinc', 'aluminium', 'magnesium'}
        Alloys, by their names in the logs.

    Returns
    -------
    float
        About 10 for magnesium in place of zinc, about 1 for aluminium.
    """
    return _surface_pace(fitted) / _surface_pace(listed)


def _surface_pace(alloy: str) -> float:
    row = CURRENT_CAPACITIES[CURRENT_CAPACITIES["alloy"] == alloy].iloc[0]
    charge = (row["low_ah_per_lb"] + row["high_ah_per_lb"]) / 2 * METALS[alloy].density_kg_per_m3
    return float((PROTECTED_METAL_V - row["potential_v"]) / charge)
