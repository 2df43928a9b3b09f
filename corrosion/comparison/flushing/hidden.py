"""How strong a cause that nobody logged would have to be to explain the saving away.

Of two hulls alike in all that is logged, one may wear faster for a reason not in the logs, and be
flushed less for the same reason. If such a reason makes a hull wear up to `e` times as fast, and
is up to `e` times as common among unflushed days as among flushed ones, it can make at most a
ratio of ``e * e / (2 * e - 1)`` where flushing does nothing (Ding & VanderWeele 2016, Epidemiology
27:368). Turned round, ``e = r + sqrt(r * (r - 1))`` (VanderWeele & Ding 2017, Annals of Internal
Medicine 167:268, where it is called the E-value).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Hidden:
    """How strong the hidden cause has to be, for the share and for its lower end.

    Attributes
    ----------
    ratio, ratio_low : float, wear without flushing against wear with it, and its lower end
    strength, strength_low : float, how many times as fast and as common; 1 when nothing is needed
    """

    ratio: float
    ratio_low: float
    strength: float
    strength_low: float


def strength(ratio: float) -> float:
    """Return how strong a hidden cause must be to make a ratio of 1 look like `ratio`.

    Parameters
    ----------
    ratio : float, above 0; below 1 it is turned round

    Returns
    -------
    float, 1 or more
    """
    ratio = max(ratio, 1.0 / ratio)
    return float(ratio + np.sqrt(ratio * (ratio - 1.0)))


def hidden_cause(share: float, low: float) -> Hidden:
    """Return how strong a hidden cause would have to be to explain a share saved away.

    Parameters
    ----------
    share, low : float, the share saved and its lower end, 0 to below 1

    Returns
    -------
    Hidden
    """
    ratios = [1.0 / (1.0 - max(each, 0.0)) for each in (share, low)]
    return Hidden(*ratios, *(strength(each) for each in ratios))
