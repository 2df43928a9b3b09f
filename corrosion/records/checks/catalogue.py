"""Every rule, in the order of looking: what one stage sets aside, the next does not see."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from corrosion.records.checks.alloys import ALLOY_RULES, lay_out_alloys
from corrosion.records.checks.bounds import BOUND_RULES
from corrosion.records.checks.duplicates import DUPLICATE_RULES, OVERLAP_RULES
from corrosion.records.checks.evidence import Evidence, LaidOut, Rule
from corrosion.records.checks.fittings import FITTING_RULES
from corrosion.records.checks.flushes import FLUSH_RULES
from corrosion.records.checks.gaps import GAP_RULES
from corrosion.records.checks.hours import HOUR_RULES
from corrosion.records.checks.identity import IDENTITY_RULES
from corrosion.records.checks.issued_plans import ISSUED_RULES
from corrosion.records.checks.looks import lay_out_looks, set_beside_neighbours
from corrosion.records.checks.meters import METER_RULES
from corrosion.records.checks.places import PLACE_RULES
from corrosion.records.checks.registers import HULL_RULES, REGISTER_RULES
from corrosion.records.checks.samples import SAMPLE_RULES, WATER_RULES
from corrosion.records.checks.sequence import (
    GROWTH_RULES,
    OUT_OF_LINE_RULES,
    PEAK_RULES,
    find_changes,
)
from corrosion.records.checks.silences import SILENCE_RULES
from corrosion.records.checks.sizes import SIZE_BY_ITSELF_RULES, SIZE_RULES, find_slips
from corrosion.records.checks.times import TIME_RULES

LayOut: TypeAlias = Callable[[Evidence], LaidOut]


@dataclass(frozen=True)
class Stage:
    """Rules that see the same evidence, and what is laid out for them first."""

    rules: tuple[Rule, ...]
    lay_out: tuple[LayOut, ...] = ()


STAGES: tuple[Stage, ...] = (
    Stage(BOUND_RULES),
    Stage(REGISTER_RULES),
    Stage((*IDENTITY_RULES, *TIME_RULES)),
    Stage(DUPLICATE_RULES),
    Stage((*HOUR_RULES, *SAMPLE_RULES, *SIZE_BY_ITSELF_RULES)),
    Stage(SIZE_RULES, (lay_out_looks, set_beside_neighbours, find_slips)),
    Stage(OUT_OF_LINE_RULES, (set_beside_neighbours,)),
    Stage(PEAK_RULES, (set_beside_neighbours,)),
    Stage(GROWTH_RULES, (set_beside_neighbours, find_changes)),
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
            *SILENCE_RULES,
            *ISSUED_RULES,
        ),
        (lay_out_alloys,),
    ),
)

RULES: tuple[Rule, ...] = tuple(rule for stage in STAGES for rule in stage.rules)
