"""What a potential, a resistance, a conductivity or a rate of wear means, with its source.

In: measured values with their unit. Out: what they mean for the anode and the casting that it
guards, and which alloy belongs into which water. Handbook values stand here with their sources;
nothing is fitted.
"""

from corrosion.chemistry import galvanic, potentials
from corrosion.chemistry.drift import potential_drift
from corrosion.chemistry.galvanic import advise, wear_beside
from corrosion.chemistry.measured import measured_meanings
from corrosion.chemistry.on_record import OnRecord, chemistry_on_record
from corrosion.chemistry.potentials import Meaning
from corrosion.chemistry.salinity import salinity_from_conductivity, salinity_g_per_kg, venice_name

__all__ = [
    "Meaning",
    "OnRecord",
    "advise",
    "chemistry_on_record",
    "galvanic",
    "measured_meanings",
    "potential_drift",
    "potentials",
    "salinity_from_conductivity",
    "salinity_g_per_kg",
    "venice_name",
    "wear_beside",
]
