"""What each person asks of the dashboard, and where it is answered: at most two presses away.

A press is on a page's name in the navigation, on a hull, on a line that unfolds, or on a paper
that is taken along. The front door, *This week*, is none. An answer is what stands on the page
then, as a pattern over its words; where these logs cannot tell, that it says so.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Question:
    """A question, the presses from the front door to its answer, and the words that answer it.

    `page` is a page's name, empty for the front door; `hull` a hull pressed there; `then` a line
    that unfolds or a paper. Each that is named is a press.
    """

    who: str
    asks: str
    answer: str
    page: str = ""
    hull: str = ""
    then: str = ""

    @property
    def presses(self) -> int:
        """How many presses it takes."""
        return sum(map(bool, (self.page, self.hull, self.then)))


MANAGER, MECHANIC, DOCK = "manager", "mechanic", "dock"
OWNER, AUDITOR, STATISTICIAN = "owner", "auditor", "statistician"
QUESTIONS = (
    # ---- manager, Monday 07:30, ten minutes
    Question(MANAGER, "What may not sail, by name?", r"STOP H13, not for hire: jacket-pencil"),
    Question(MANAGER, "What comes out, when, in which bay?", r"out Tue 17 Jun 12:00, bay 1"),
    Question(MANAGER, "Who is first, with one bay on Wednesday?", r"out Wed 18 Jun 08:00, bay 1"),
    Question(
        MANAGER,
        "What ought to come out and does not, and why?",
        r"not this week: AN-1004 comes by courier on Fri 20 Jun",
    ),
    Question(
        MANAGER,
        "Which hire moves, which is lost?",
        r"moves to H16.*Every other hire|Every other hire.*moves to H16",
        then="Hires to change",
    ),
    Question(MANAGER, "What goes into the van?", r"AN-1004", then="Pick list"),
    Question(
        MANAGER,
        "What changed since last week?",
        r"No plan is issued for this week yet, so what has changed since cannot be told",
    ),
    Question(
        MANAGER,
        "What if the lift is out?",
        r"If the lift at estuary is out all week: 7 hulls, each a week later, EUR [\d ]+ more",
        then="Neighbours: replace now, or leave",
    ),
    Question(
        MANAGER,
        "What is due in two to four weeks?",
        r"by Mon 7 Jul.*estuary.*\d+ to \d+",
        page="Fleet",
    ),
    Question(
        MANAGER, "Which are the odd ones?", r"alloy against water", page="Fleet", then="What is odd"
    ),
    Question(
        MANAGER,
        "What is not known: which were not read for long?",
        r"not read for long",
        page="Fleet",
        then="What is odd",
    ),
    Question(MANAGER, "Can this hull do the weekend?", r"Pull it out by Sun 22 Jun", hull="H01"),
    Question(
        MANAGER,
        "What do I lose if it slips a week?",
        r"A week later costs EUR \d+ more",
        hull="H01",
    ),
    Question(
        MANAGER,
        "Why is it on the list after so few hours?",
        r"cooler-pencil \d+ % worn, mostly by engine hours; last read 6.9 mm",
        hull="H01",
    ),
    Question(
        MANAGER,
        "What has it run lately?",
        r"engine running, h a week",
        hull="H01",
        then="Hours by clock",
    ),
    Question(
        MANAGER,
        "Is it the berth or the boat?",
        r"the berth: all wear faster here lately.*9 of 9 hulls",
        page="Looks",
    ),
    Question(
        MANAGER,
        "What is to be measured this week?",
        r"\d+ anodes on \d+ hulls to measure in the week of",
        page="Looks",
    ),
    Question(MANAGER, "What is to be ordered?", r"Order \d+ of AN-1004 today", page="Parts"),
    Question(
        MANAGER, "How many kits for the season?", r"pieces, 26 weeks ahead", page="Parts", then="26"
    ),
    Question(
        MANAGER,
        "Is fresh cheaper than salt, per hire hour?",
        r"A hire hour cost most at Brennick Mouth: EUR 2\.\d .* against 1\.\d at Hallow Tarn",
        page="Moorings",
    ),
    Question(
        MANAGER,
        "We move it to the lake: what now?",
        r"Choose hulls, or a layout, and a mooring",
        page="Moorings",
        then="What if these hulls moved?",
    ),
    Question(
        MANAGER,
        "We moved it: what of its forecast?",
        r"afloat since Mon 19 May 2031",
        page="Fleet",
        hull="H35",
    ),
    Question(
        MANAGER,
        "What would flushing every evening buy?",
        r"\d+ to 20 anodes, most likely \d+ a year \(95 %\), worth EUR",
        page="Flushing",
    ),
    Question(MANAGER, "Which readings don't you believe?", r"readings\s*42\s*6", page="Log check"),
    Question(
        MANAGER, "How did past forecasts do?", r"Each Monday of the past year", page="Track record"
    ),
    # ---- mechanic: one page a hull, on paper
    Question(
        MECHANIC,
        "Where, in which order, to which limit?",
        r"in the order of access.*Replace at or below 7.0 mm",
        then="Work sheets",
    ),
    Question(MECHANIC, "What do I bring?", r"Bring:.*AN-1004.*caliper", then="Work sheets"),
    Question(MECHANIC, "What did the last looks find?", r"Last looks.*6.6 mm", then="Work sheets"),
    Question(
        MECHANIC,
        "Which page of the manual?",
        r"Torque, locking compound: see manual, ",
        then="Work sheets",
    ),
    Question(
        MECHANIC,
        "What do I look out for?",
        r"Before you open anything.*Key and lanyard out",
        then="Work sheets",
    ),
    Question(
        MECHANIC,
        "What may not sail until I sign?",
        r"NOT FOR HIRE.*Done on.*by \(role\)",
        then="Tags: not",
    ),
    # ---- dock staff, sceptical
    Question(DOCK, "What of our own dock?", r"At estuary \(salt\)\s*20 %", page="Flushing"),
    Question(
        DOCK,
        "What does it cost us in minutes?",
        r"more flushes a year of 7 min, \d+ h",
        page="Flushing",
    ),
    Question(
        DOCK,
        "Where is it not worth it?",
        r"In fresh water: .* returns of the year. No salt is left",
        page="Flushing",
    ),
    Question(
        DOCK,
        "Is the last return of the day enough?",
        r"last return of the day gives nearly all of the benefit",
        page="Flushing",
    ),
    Question(
        DOCK,
        "Is it about us?",
        r"Groups of fewer than 5 hulls are not shown",
        page="Flushing",
    ),
    Question(
        DOCK,
        "And the castings?",
        r"How often a late anode.*is not known here or published",
        page="Flushing",
    ),
    Question(
        DOCK,
        "What would convince us?",
        r"staggered start.*in random order",
        page="Flushing",
        then="What to log, and how to try it out",
    ),
    Question(
        DOCK, "What hangs on the wall?", r"last return", "Flushing", then="Notice for the dock"
    ),
    # ---- owner, five minutes
    Question(
        OWNER,
        "What does a hull-season and a hire hour cost, by mooring?",
        r"Brennick Mouth.*\d{3}.*2\.\d.*All moorings",
        page="Costs",
    ),
    Question(
        OWNER,
        "Parts, work, lost hire: how much of each, in which currency?",
        r"Amounts in EUR.*Parts\s*Changing\s*Looking\s*Lost hire",
        page="Costs",
    ),
    Question(
        OWNER,
        "And flushing itself?",
        r"Flushing itself is not in it: [\d ]+ flushes on record took \d+ h, EUR",
        page="Costs",
    ),
    Question(
        OWNER,
        "Which visits is it made of?",
        r"Hours are the register's",
        page="Costs",
        then="The 80",
    ),
    Question(
        OWNER, "What does the plan save?", r"Against calendar the plan saves EUR ", page="Costs"
    ),
    Question(
        OWNER,
        "How many anodes will it take?",
        r"take \d+ to \d+ anodes, most likely \d+",
        page="Parts",
    ),
    # ---- auditor, insurer
    Question(
        AUDITOR,
        "What was done to this hull, when, and what was corrected?",
        r"sizes as they were written down.*stands",
        hull="H13",
        then="History",
    ),
    Question(
        AUDITOR,
        "The whole story, on paper, with the method's version?",
        r"method 2026-11.*limit",
        hull="H13",
        then="Report, A4",
    ),
    Question(AUDITOR, "What was set aside?", r"64 rows of 28459 set aside", page="Log check"),
    Question(
        AUDITOR,
        "What became of the plans that were issued?",
        r"Nothing is written into the demo fleet",
        then="Decide otherwise, or issue the plan",
    ),
    # ---- statistician
    Question(
        STATISTICIAN,
        "Raw beside adjusted, with interval, hulls and overlap?",
        r"Adjusted\s*Raw.*1\.5 to 1\.7.*in common: use 89 %",
        page="Moorings",
    ),
    Question(
        STATISTICIAN,
        "How far is it extrapolated?",
        r"Carried on from the wear that looks show, \d+ times as far",
        page="Moorings",
    ),
    Question(
        STATISTICIAN,
        "Is the salt constant?",
        r"wanders between polyhaline and euhaline",
        page="Moorings",
        then="The water of each mooring",
    ),
    Question(
        STATISTICIAN,
        "When was a limit crossed that nobody saw crossed?",
        r"between the last look before the limit and the first at it",
        page="Moorings",
        then="How long anodes last",
    ),
    Question(
        STATISTICIAN,
        "Does pulled early count as failed?",
        r"52 anodes were pulled early, before any look found them worn",
        page="Moorings",
        then="How long anodes last",
    ),
    Question(
        STATISTICIAN,
        "Do anodes of one hull count as strangers?",
        r"anodes share a hull and its circuits",
        page="Moorings",
        then="How this is worked out",
    ),
    Question(
        STATISTICIAN,
        "Inspection follows looks: what then?",
        r"looked at sooner and pulled early",
        page="Fleet",
        then="How this is worked out",
    ),
    Question(
        STATISTICIAN,
        "So many comparisons: how many false calls?",
        r"at most 0\.8 new false calls a month",
        page="Fleet",
        then="What is odd",
    ),
    Question(
        STATISTICIAN,
        "Could a hidden cause explain it?",
        r"hidden cause would have to make hulls wear",
        page="Flushing",
        then="Could something else explain it?",
    ),
    Question(
        STATISTICIAN,
        "What can these logs not tell?",
        r"the looks cannot tell whether these count as much",
        page="Flushing",
        then="How soon, and for how long?",
    ),
)
