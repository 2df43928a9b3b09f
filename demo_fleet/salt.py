"""Conductivity of the made-up water, so that samples with both values agree with each other.

Practical Salinity Scale 1978 at the surface (UNESCO technical papers in marine science 44), turned
round by bisection. Absolute salinity (g/kg) is taken as practical salinity times 35.16504 / 35.
"""

from __future__ import annotations

import numpy as np

from demo_fleet.clock import Floats

_A = (0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
_B = (0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
_C = (0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
_K = 0.0162
_STANDARD_MS_PER_CM = 42.914
"""Conductivity of standard seawater of practical salinity 35 at 15 C."""


def practical_salinity(ratio: Floats, temperature_c: Floats) -> Floats:
    """Practical salinity from conductivity relative to standard seawater at 15 C."""
    t68 = temperature_c * 1.00024
    root = np.sqrt(ratio / sum(c * t68**power for power, c in enumerate(_C)))
    main = sum(a * root**power for power, a in enumerate(_A))
    shift = sum(b * root**power for power, b in enumerate(_B))
    warm = (t68 - 15.0) / (1.0 + _K * (t68 - 15.0))
    return np.asarray(main + warm * shift, dtype=np.float64)


def conductivity_ms_per_cm(salinity_g_per_kg: Floats, temperature_c: Floats) -> Floats:
    """Conductivity of water of that absolute salinity at that temperature, at the surface."""
    wanted = salinity_g_per_kg * 35.0 / 35.16504
    low, high = np.zeros_like(wanted), np.full_like(wanted, 2.5)
    for _ in range(50):
        middle = (low + high) / 2
        below = practical_salinity(middle, temperature_c) < wanted
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return low * _STANDARD_MS_PER_CM
