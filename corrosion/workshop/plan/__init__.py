"""The week's pull-outs: which hulls come out, when and where, what is done, and why.

Notes
-----
* A plan is a mixed-integer programme on `scipy.optimize.milp` (HiGHS): one yes-or-no variable a
  hull, day, bay and choice of anodes; one for each of six weeks beyond the horizon taken as
  wholes (with a full week's capacity, so that next month's crowd counts); one for "far ahead".
  `rules` has one function a rule; days on which a hull or a bay is not free never become
  variables (`away`, `yard`).
* Which anodes go with a pull-out is settled before the programme, per hull and day, over all
  choices (up to seven anodes; beyond, by who is due first). Where a part is scarce, the best
  choice that spares it is offered as well.
* The value of waiting is that of renewal. Haul, access and anode come round again; a day by which
  the next turn is put off is worth its cost over that time (`cases`, `packages`). So pulling
  early throws away a share of the visit and of the part, pulling late costs lateness, and
  neighbours sort themselves out. An early build charged only what fell into the horizon: it
  pulled hulls at five per cent worn, since "never" had no price.
* An anode that is due and left behind goes on costing, for a week at least, or until its part can
  be there. Without that the plan once pulled a hull, left the one anode past its limit in it and
  counted the danger as over.
* What is left in a hull and due again within three weeks makes the hull come back for it alone: in
  the next week that visit has its whole price, less for each day that it is later, as a rule and
  in no cost shown. By renewal alone a day's delay of the next visit is worth little, and hulls came
  out twice in ten days, once for a plate and once for a plug.
* The tolerated risk is a soft rule with a stated price: past its pull-by a hull is charged ten
  times the fleet's dearest late cost per `late_days`, by its chance of a worn anode. It decides
  before money does, ranks by danger where the bays are too few, and can't make a plan impossible.
  It is no part of any cost that is shown.
* Pins are kept unless they can't be. Each pin may be dropped at a price nothing can outweigh;
  then the rule in the way is named (the day itself, or the rule without which the pin would
  hold), and the plan nearest to the pin is shown.
* Lost hire is what a mooring usually takes on that weekday less what is booked, shared by hulls
  still free; a booked hull is never out, for the whole local day unless the bay says its hours.
  Beyond the horizon the best bay day's loss is taken, or waiting would look dear.
* A reading's worth is preposterior: every reading that may come, the cheapest thing to do with
  each, less going ahead. What the plan could not have anyway (a better day) is taken off first.
  Looks are weighed for the coming two weeks.
* What no rule ties together is solved apart; first relaxed, then in whole numbers on the days
  around that, then whole. The gap is a share of the cost above every hull's best time, which is
  stricter than a share of all costs.
* The solver has 3 s of clock on an idle machine, up to four times as long on a busy one (measured
  while the plan is laid out), so that a plan does not get worse because the neighbours work.
* HiGHS may write to standard output, where JSON goes; that is held shut while it runs, one thread
  at a time.
* A new anode that may be worn again before the plan ends is said (chance above 1 in 100); no hull
  is pulled twice in one plan.
* Assumed and said where a fleet is silent: one bay a mooring, Monday to Friday, 2 hulls and 8 h;
  wage 40 an hour; part 25, access 20 min, swap 15 min, late cost 1500 (or the median of the
  positions that have one). Seals cost nothing unless said. Measuring takes 5 min.
"""

from corrosion.workshop.plan.making import make_plan
from corrosion.workshop.plan.previewing import (
    Preview,
    decide_as_previewed,
    preview_decision,
    say_preview,
)
from corrosion.workshop.plan.progress import STAGES, PlanProgress, Watch, unwatched
from corrosion.workshop.plan.tables import LEFT_OUT, NEIGHBOURS, PULLS, Plan
from corrosion.workshop.plan.weekly import left_that_week, pulls_of_week

__all__ = [
    "LEFT_OUT",
    "NEIGHBOURS",
    "PULLS",
    "STAGES",
    "Plan",
    "PlanProgress",
    "Preview",
    "Watch",
    "decide_as_previewed",
    "left_that_week",
    "make_plan",
    "preview_decision",
    "pulls_of_week",
    "say_preview",
    "unwatched",
]
