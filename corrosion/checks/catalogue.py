"""Every rule, in the order of looking: what one stage sets aside, the next does not see."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from .alloys import ALLOY_RULES
from .duplicates import DUPLICATE_RULES, OVERLAP_RULES
from .evidence import Evidence, Rule
from .fittings import FITTING_RULES
from .flushes import FLUSH_RULES
from .gaps import GAP_RULES
from .hours import HOUR_RULES
from .identity import IDENTITY_RULES
from .looks import lay_out_looks, set_beside_neighbours
from .meters import METER_RULES
from .places import PLACE_RULES
from .registers import HULL_RULES, REGISTER_RULES
from .samples import SAMPLE_RULES, WATER_RULES
from .sequence import GROWTH_RULES, OUT_OF_LINE_RULES, PEAK_RULES
from .sizes import FITTING_SIZE_RULES, SIZE_RULES, find_slips
from .times import TIME_RULES


@dataclass(frozen=True)
class Stage:
    """Rules that see the same evidence, and what is laid out for them first."""

    rules: tuple[Rule, ...]
    lay_out: tuple[Callable[[Evidence], Evidence], ...] = ()


STAGES: tuple[Stage, ...] = (
    Stage(REGISTER_RULES),
    Stage((*IDENTITY_RULES, *TIME_RULES)),
    Stage(DUPLICATE_RULES),
    Stage((*HOUR_RULES, *SAMPLE_RULES, *FITTING_SIZE_RULES)),
    Stage(SIZE_RULES, (lay_out_looks, set_beside_neighbours, find_slips)),
    Stage(OUT_OF_LINE_RULES, (set_beside_neighbours,)),
    Stage(PEAK_RULES, (set_beside_neighbours,)),
    Stage(GROWTH_RULES, (set_beside_neighbours,)),
    Stage(
        (
            *HULL_RULES,
            *OVERLAP_RULES,
            *METER_RULES,
            *PLACE_RULES,
            *FITTING_RULES,
            *FLUSH_RULES,
            *WATER_RULES,
            *ALLOY_RULES,
            *GAP_RULES,
        )
    ),
)

RULES: tuple[Rule, ...] = tuple(rule for stage in STAGES for rule in stage.rules)
