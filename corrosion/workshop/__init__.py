"""What to do: the week's pull-outs, parts, what it costs and what it saves.

In: an appraisal, the yard's bays and hands, stock, hires, and what the manager decided otherwise.
Out: a plan with a reason for each line, when to look at each anode next, issued plans that are
never rewritten, parts to order, costs from what was done, savings against rules of thumb.
"""

from corrosion.forecast import LIFT_STOP, RELEASE
from corrosion.workshop.costs import EVERYWHERE, Costs, add_up_costs
from corrosion.workshop.flushing_done import FlushingDone, add_up_flushing
from corrosion.workshop.hire_deviation import (
    AS_TOLD,
    NO_LONGER,
    NOT_TOLD,
    NOT_YET,
    HiresTold,
    hires_since_issue,
)
from corrosion.workshop.hires_told import hires_of_plan
from corrosion.workshop.issued import (
    issue_plan,
    joined_positions,
    new_plan_id,
    said_parts,
)
from corrosion.workshop.issues import (
    issued_plan,
    issues,
    local_date,
    newest_issue,
    until_week,
)
from corrosion.workshop.looks import Looks, PriceOfLooking, price_of_looking, schedule_looks
from corrosion.workshop.overrides import (
    HIRE_OUT,
    PIN,
    SKIP,
    decide,
    monday_of,
    standing_changes,
)
from corrosion.workshop.parts import SPANS, Parts, count_parts, habit_said
from corrosion.workshop.parts.counts import count_by
from corrosion.workshop.parts.orders import order_parts
from corrosion.workshop.plan import (
    STAGES,
    Plan,
    PlanProgress,
    Preview,
    Watch,
    decide_as_previewed,
    left_that_week,
    make_plan,
    preview_decision,
    pulls_of_week,
    say_preview,
    unwatched,
)
from corrosion.workshop.plan.horizon import Horizon
from corrosion.workshop.plan.yard import bays_of, lay_out_yard
from corrosion.workshop.plan_deviation import since_issue
from corrosion.workshop.savings import (
    CANNOT_TELL,
    OWN,
    PARTLY_OWN,
    SAVES,
    TAKEN,
    Savings,
    compare_rules,
)
from corrosion.workshop.savings.rules import plan_rule, rules_of_thumb
from corrosion.workshop.stock import COMMON, pieces_on_hand

__all__ = [
    "AS_TOLD",
    "CANNOT_TELL",
    "COMMON",
    "EVERYWHERE",
    "HIRE_OUT",
    "LIFT_STOP",
    "NOT_TOLD",
    "NOT_YET",
    "NO_LONGER",
    "OWN",
    "PARTLY_OWN",
    "PIN",
    "RELEASE",
    "SAVES",
    "SKIP",
    "SPANS",
    "STAGES",
    "TAKEN",
    "Costs",
    "FlushingDone",
    "HiresTold",
    "Horizon",
    "Looks",
    "Parts",
    "Plan",
    "PlanProgress",
    "Preview",
    "PriceOfLooking",
    "Savings",
    "Watch",
    "add_up_costs",
    "add_up_flushing",
    "bays_of",
    "compare_rules",
    "count_by",
    "count_parts",
    "decide",
    "decide_as_previewed",
    "habit_said",
    "hires_of_plan",
    "hires_since_issue",
    "issue_plan",
    "issued_plan",
    "issues",
    "joined_positions",
    "lay_out_yard",
    "left_that_week",
    "local_date",
    "make_plan",
    "monday_of",
    "new_plan_id",
    "newest_issue",
    "order_parts",
    "pieces_on_hand",
    "plan_rule",
    "preview_decision",
    "price_of_looking",
    "pulls_of_week",
    "rules_of_thumb",
    "said_parts",
    "say_preview",
    "schedule_looks",
    "since_issue",
    "standing_changes",
    "until_week",
    "unwatched",
]
