"""Salinity of the water: the Practical Salinity Scale of 1978 and the names of the Venice System.

One look at the water is a conductivity, a temperature and, below the surface, a pressure. The
scale is own code, since it is short, fixed for good and needed at run time; the tests hold it
against the printed check values and against the `gsw` package.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]

CONDUCTIVITY_35_15_0_MS_PER_CM = 42.914
"""Conductivity of sea water at practical salinity 35, 15 C (IPTS-68) and 0 dbar, mS/cm."""

IPTS68_PER_ITS90 = 1.00024
"""A temperature on the scale of 1968 is this many times the same temperature on that of 1990."""

COMPENSATED_TO_C = 25.0
"""The temperature that conductivity meters turn their value to (common practice)."""

REFERENCE_SALINITY_35_G_PER_KG = 35.16504
"""Reference salinity of sea water of practical salinity 35, g/kg (TEOS-10 manual, 2010)."""

# Coefficients as printed in UNESCO technical papers in marine science 44 (Fofonoff and Millard
# 1983); `a` and `b` go with powers 0, 1/2, 1, ... 5/2 of the conductivity ratio.
_A = (0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
_B = (0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
_K = 0.0162
_C = (0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
_D = (1.0, 3.426e-2, 4.464e-4)
_D_RATIO = (4.215e-1, -3.107e-3)
_E = (0.0, 2.070e-5, -6.370e-10, 3.989e-15)

VENICE_LOWER_BOUNDS = (0.0, 0.5, 5.0, 18.0, 30.0, 40.0)
"""Lower bounds of the zones of the Venice System (1958), per mille by mass."""

VENICE_WORDS = {
    "fresh": "fresh water",
    "oligohaline": "brackish water with little salt, oligohaline: 0.5 to 5 g/kg",
    "mesohaline": "brackish water, mesohaline: 5 to 18 g/kg",
    "polyhaline": "nearly sea water, polyhaline: 18 to 30 g/kg",
    "euhaline": "sea water, euhaline: 30 to 40 g/kg",
    "hyperhaline": "saltier than the sea, hyperhaline: over 40 g/kg",
}
"""What the names of the zones mean, by the bounds above."""
VENICE_NAMES = tuple(VENICE_WORDS)
"""Zones of the Venice System; oligo-, meso- and polyhaline together are brackish water."""


def _polynomial(coefficients: tuple[float, ...], x: FloatArray) -> FloatArray:
    return np.asarray(np.polynomial.polynomial.polyval(x, coefficients), dtype=np.float64)


def _on_1968_scale(temperature_c: npt.ArrayLike, scale: str) -> FloatArray:
    factors = {"ITS-90": IPTS68_PER_ITS90, "IPTS-68": 1.0}
    if scale not in factors:
        raise ValueError(f"scale: {scale!r} is neither 'ITS-90' nor 'IPTS-68'")
    return np.asarray(temperature_c, dtype=np.float64) * factors[scale]


def _temperature_term(t68_c: FloatArray) -> FloatArray:
    return np.asarray((t68_c - 15.0) / (1.0 + _K * (t68_c - 15.0)))


def _pressure_factor(ratio: FloatArray, t68_c: FloatArray, pressure_dbar: FloatArray) -> FloatArray:
    by_temperature = _polynomial(_D, t68_c) + _polynomial(_D_RATIO, t68_c) * ratio
    return np.asarray(1.0 + _polynomial(_E, pressure_dbar) / by_temperature)


def _below_two(salinity: FloatArray, ratio_t: FloatArray, t68_c: FloatArray) -> FloatArray:
    """Correction of Hill, Dauphinee and Woods (1986) for water fresher than salinity 2."""
    x, y = 400.0 * ratio_t, 100.0 * ratio_t
    bracket_x = 1.0 + x * (1.5 + x)
    bracket_y = 1.0 + np.sqrt(y) * (1.0 + np.sqrt(y) * (1.0 + np.sqrt(y)))
    corrected = salinity - _A[0] / bracket_x - _B[0] * _temperature_term(t68_c) / bracket_y
    return np.maximum(corrected, 0.0)


def practical_salinity(
    conductivity_ratio: npt.ArrayLike,
    temperature_c: npt.ArrayLike,
    pressure_dbar: npt.ArrayLike = 0.0,
    scale: str = "ITS-90",
) -> FloatArray:
    """Practical salinity (PSS-78) of water from its conductivity ratio.

    Below salinity 2, outside the range of the scale, the correction of Hill, Dauphinee and Woods
    (IEEE J. Oceanic Eng. 11, 1986) is used, so that a lake reads as a lake.

    Parameters
    ----------
    conductivity_ratio : array_like
        Conductivity over 42.914 mS/cm, no unit, any shape; NaN stays NaN.
    temperature_c : array_like
        Temperature of the water, C, of a shape that goes with the first.
    pressure_dbar : array_like
        Pressure above that of the air, dbar (about the depth in metres).
    scale : {'ITS-90', 'IPTS-68'}
        Temperature scale. Thermometers of today read ITS-90; the printed check values are in
        IPTS-68.

    Returns
    -------
    ndarray
        Practical salinity, no unit, of the common shape.

    Raises
    ------
    ValueError
        If `scale` is neither of the two.

    References
    ----------
    Fofonoff and Millard (1983), UNESCO technical papers in marine science 44.
    """
    ratio = np.asarray(conductivity_ratio, dtype=np.float64)
    t68_c = _on_1968_scale(temperature_c, scale)
    factor = _pressure_factor(ratio, t68_c, np.asarray(pressure_dbar, dtype=np.float64))
    ratio_t = np.maximum(ratio, 0.0) / (factor * _polynomial(_C, t68_c))
    root = np.sqrt(ratio_t)
    salinity = _polynomial(_A, root) + _temperature_term(t68_c) * _polynomial(_B, root)
    return np.asarray(np.where(salinity < 2.0, _below_two(salinity, ratio_t, t68_c), salinity))


def salinity_from_conductivity(
    conductivity_ms_per_cm: npt.ArrayLike,
    temperature_c: npt.ArrayLike,
    pressure_dbar: npt.ArrayLike = 0.0,
    scale: str = "ITS-90",
    at_25c: npt.ArrayLike = False,
) -> FloatArray:
    """Practical salinity (PSS-78) from conductivity in mS/cm; see `practical_salinity`.

    Many meters turn what they measure into what it would be at 25 C. Such a value is read at 25 C,
    whatever the water's own temperature: sea water of 15 C would come out a quarter too salty.

    Parameters
    ----------
    conductivity_ms_per_cm, temperature_c, pressure_dbar : array_like
    scale : str, of the temperature
    at_25c : array_like of bool
        Where the meter has turned the value to 25 C.
    """
    conductivity = np.asarray(conductivity_ms_per_cm, dtype=np.float64)
    ratio = conductivity / CONDUCTIVITY_35_15_0_MS_PER_CM
    temperature = np.where(at_25c, COMPENSATED_TO_C, np.asarray(temperature_c, dtype=np.float64))
    return practical_salinity(ratio, temperature, pressure_dbar, scale)


def salinity_g_per_kg(practical: npt.ArrayLike) -> FloatArray:
    """Salt in the water, g/kg, from practical salinity (reference salinity of TEOS-10)."""
    salinity = np.asarray(practical, dtype=np.float64)
    return np.asarray(salinity * (REFERENCE_SALINITY_35_G_PER_KG / 35.0))


def venice_name(salinity: npt.ArrayLike) -> npt.NDArray[np.object_]:
    """Zone of the Venice System (1958) for each salinity, per mille or g/kg.

    Parameters
    ----------
    salinity : array_like
        Salinity, per mille, any shape.

    Returns
    -------
    ndarray of object
        Of the same shape: one of `VENICE_NAMES`, or None where the salinity is not known.
    """
    known = np.asarray(salinity, dtype=np.float64)
    zone = np.searchsorted(VENICE_LOWER_BOUNDS[1:], known, side="right")
    names = np.asarray((*VENICE_NAMES, None), dtype=np.object_)
    return np.asarray(names[np.where(np.isnan(known), len(VENICE_NAMES), zone)], dtype=np.object_)


def venice_words(salinity: float) -> str:
    """Say in plain words which water a salinity (g/kg) is, with the zone's own name and bounds."""
    name = venice_name(salinity).item()
    return VENICE_WORDS.get(name, "not known")
