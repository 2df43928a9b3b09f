"""Questions about water: samples in another unit, an alloy in a water that eats it."""

from __future__ import annotations

from typing import Final

from corrosion.data_entry.questions import About, Question
from corrosion.records import CONDUCTIVITY_MS_PER_CM, SALINITY_G_PER_KG, TEMPERATURE_C

MICROSIEMENS: Final = 1000.0


def conductivity(about: About) -> Question | None:
    """A conductivity meter may show microsiemens."""
    value = about.row.cells.get("conductivity_ms_per_cm")
    if "conductivity-impossible" not in about.rules or not isinstance(value, float):
        return None
    meant = value / MICROSIEMENS
    fits = meant <= CONDUCTIVITY_MS_PER_CM[1]
    return _unit(about, "conductivity-impossible", "conductivity_ms_per_cm", "mS/cm",
                 ("Microsiemens", round(meant, 6)) if fits else None)  # fmt: skip


def salinity(about: About) -> Question | None:
    """Saltier than any sea: a lost point, or milligrams."""
    value = about.row.cells.get("salinity_g_per_kg")
    if "salinity-impossible" not in about.rules or not isinstance(value, float):
        return None
    fits = value / 10 <= SALINITY_G_PER_KG[1]
    return _unit(about, "salinity-impossible", "salinity_g_per_kg", "g/kg",
                 ("The point was lost", value / 10) if fits else None)  # fmt: skip


def temperature(about: About) -> Question | None:
    """Too hot for water: degrees Fahrenheit."""
    value = about.row.cells.get("temperature_c")
    if "temperature-impossible" not in about.rules or not isinstance(value, float):
        return None
    meant = round((value - 32) / 1.8, 2)
    fits = TEMPERATURE_C[0] <= meant <= TEMPERATURE_C[1]
    return _unit(about, "temperature-impossible", "temperature_c", "°C",
                 ("Degrees Fahrenheit", meant) if fits else None)  # fmt: skip


def _unit(
    about: About, name: str, cell: str, unit: str, meant: tuple[str, float] | None
) -> Question:
    value = about.row.cells[cell]
    asks = f"No water has {value:g} {unit}. What does the instrument show?"
    left = about.answer(name, "Leave it out", **{cell: None})
    if meant is None:
        return Question(name, asks, (left, about.stays(name)))
    read_as, amount = meant
    changed = about.answer(name, f"{read_as}: {amount:g} {unit}", **{cell: amount})
    return Question(name, asks, (changed, left, about.stays(name)))


def magnesium(about: About) -> Question | None:
    """Magnesium in salt or brackish water is a hard stop."""
    if "magnesium-in-salt" not in about.rules:
        return None
    asks = (
        "Stop: this hull carries magnesium anodes, which are gone within weeks in salt or brackish "
        "water and can blister paint. Change them as its manual says before it lies there."
    )
    leave = about.nothing("It does not move: write nothing")
    return Question("magnesium-in-salt", asks, (leave, about.stays(
        "magnesium-in-salt", "It lies there already: write it")))  # fmt: skip
