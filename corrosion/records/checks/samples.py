"""Rules for looks at the water: cells that no water on earth gives, water against its word."""

from __future__ import annotations

import pandas as pd

from corrosion.records.checks.evidence import NOTE, SET_ASIDE, Evidence, Flags, Rule

# wider than any water that floats a boat: ice point of brine to a hot shallow, Baltic to Red Sea
TEMPERATURE_C = (-2.5, 42.0)
SALINITY_G_PER_KG = (0.0, 50.0)
CONDUCTIVITY_MS_PER_CM = (0.0, 90.0)

# Venice System (1958): fresh below 0.5, brackish to 30; a berth's water moves, so only the
# far side of the neighbouring class contradicts the word
CONTRADICTS = {"fresh": (0.0, 1.0), "brackish": (0.25, 36.0), "salt": (5.0, 50.0)}


def temperature_impossible(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Colder than brine freezes or hotter than any harbour."""
    return _outside(rows["temperature_c"], *TEMPERATURE_C)


def salinity_impossible(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Negative, or saltier than any sea."""
    return _outside(rows["salinity_g_per_kg"], *SALINITY_G_PER_KG)


def conductivity_impossible(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Negative, or above any sea (a value in microsiemens?)."""
    return _outside(rows["conductivity_ms_per_cm"], *CONDUCTIVITY_MS_PER_CM)


def water_against_samples(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A mooring whose median sample does not fit the word written for its water."""
    usual = evidence["water_samples"].groupby("mooring_id")["salinity_g_per_kg"].median()
    salinity = rows["mooring_id"].map(usual)
    lowest = rows["water"].map({word: span[0] for word, span in CONTRADICTS.items()})
    highest = rows["water"].map({word: span[1] for word, span in CONTRADICTS.items()})
    return (salinity < lowest) | (salinity > highest)


def without_samples(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A mooring where hulls live and nobody looked at the water."""
    used = rows["mooring_id"].isin(evidence["berths"]["mooring_id"])
    return used & ~rows["mooring_id"].isin(evidence["water_samples"]["mooring_id"])


def _outside(values: pd.Series, lowest: float, highest: float) -> Flags:
    return (values < lowest) | (values > highest)


SAMPLE_RULES: tuple[Rule, ...] = (
    Rule(
        "temperature-impossible",
        ("water_samples",),
        SET_ASIDE,
        "Correct the temperature (in degrees Celsius?); it is not used until then.",
        temperature_impossible,
        ("temperature_c",),
        cells=("temperature_c",),
    ),
    Rule(
        "salinity-impossible",
        ("water_samples",),
        SET_ASIDE,
        "Correct the salinity (in grams per kilogram?); it is not used until then.",
        salinity_impossible,
        ("salinity_g_per_kg",),
        cells=("salinity_g_per_kg",),
    ),
    Rule(
        "conductivity-impossible",
        ("water_samples",),
        SET_ASIDE,
        "Correct the conductivity (millisiemens per centimetre, not micro?); not used until then.",
        conductivity_impossible,
        ("conductivity_ms_per_cm",),
        cells=("conductivity_ms_per_cm",),
    ),
)

WATER_RULES: tuple[Rule, ...] = (
    Rule(
        "water-against-samples",
        ("moorings",),
        NOTE,
        "The samples do not fit the mooring's water: correct the word, or the samples.",
        water_against_samples,
        ("water",),
    ),
    Rule(
        "no-water-samples",
        ("moorings",),
        NOTE,
        "Take a sample now and then; salt and temperature are not known here.",
        without_samples,
        ("water",),
    ),
)
