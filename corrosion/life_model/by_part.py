"""The likelihood of a part of the hulls: hulls are independent given what the fleet shares.

So value and gradient of the whole are the sums of those of its parts, whoever works them out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from corrosion.common import Codes, Floats
from corrosion.life_model.design import Design
from corrosion.life_model.kalman import Steps
from corrosion.life_model.life import AnodeLife
from corrosion.life_model.likelihood import evaluate
from corrosion.life_model.packed_hours import PackedHours
from corrosion.life_model.surface import Trust


@dataclass(frozen=True)
class LooksOfPart:
    """All that the likelihood of a part's looks takes but the parameters."""

    design: Design
    moorings: int
    trust: Trust

    def sums(self, params: Floats) -> tuple[float, Floats]:
        """Return log likelihood and gradient, shape (p,), of the looks alone."""
        evaluation = evaluate(params, self.design, self.moorings, self.trust)
        return evaluation.value, evaluation.gradient


def looks_by_part(model: AnodeLife, first_hulls: Codes) -> list[LooksOfPart]:
    """Take the looks of a model apart by hull.

    Parameters
    ----------
    model : AnodeLife
    first_hulls : ndarray of int, ascending, code of the first hull of each part, 0 first

    Returns
    -------
    list of LooksOfPart, one for each; positions, terms and so the parameters are those of all
    """
    ends = [*first_hulls[1:], model.design.hulls]
    return [
        LooksOfPart(
            _design_of(model.design, first, end),
            model.moorings,
            Trust(
                model.trust.anode[(model.design.hull >= first) & (model.design.hull < end)],
                model.trust.hull[first:end],
            ),
        )
        for first, end in zip(first_hulls, ends, strict=True)
    ]


def _design_of(design: Design, first: int, end: int) -> Design:
    """Return the design of the hulls from one code until another."""
    lives = (design.hull >= first) & (design.hull < end)
    looks = lives[design.life]
    place = np.cumsum(lives) - 1
    # the order of steps, and of lives by the number of their looks, is that of all
    sizes = [int(looks[part].sum()) for part in design.steps.slices]
    bounds = np.concatenate([[0], np.cumsum(sizes)]).astype(np.intp)
    steps = Steps(
        design.steps.order[looks], place[design.life[looks]], bounds, design.steps.lives[lives]
    )
    row, packed = np.unique(design.hours.row[looks], return_inverse=True)
    of_lives = {
        name: getattr(design, name)[lives]
        for name in ("position", "alloy", "start_worn", "start_error", "start_caliper")
    }
    of_looks = {
        name: getattr(design, name)[looks]
        for name in ("worn", "kind", "error", "spent", "uncleaned", "trust", "jump", "unsure")
    }
    return replace(
        design, steps=steps, hulls=end - first, hull=design.hull[lives] - first,
        hours=PackedHours(design.hours.cells[row], packed.reshape(-1)), **of_lives, **of_looks,
    )  # fmt: skip
