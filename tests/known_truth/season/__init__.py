"""A season worked through week by week, by the plan and by rules of thumb, on the same truth.

worlds    the fleets: drawn by the simulator, with prices and bays
truth     hidden wear that goes on whatever is done, the same for every policy
yard      what is done to the hulls and what is written down of it
rules     rules of thumb: by the calendar, by engine hours, at half
ours      the plan, asked each Monday on the logs as they stand
run       one policy through one season
compare   policies put beside each other, fleet by fleet
looking   the same plan with other looks: the schedule, and a look every so many days
look_study, look_summary   seasons of looking, put beside each other
hiring    outings that may go to a sister hull, and the wear that goes with them
hire_policies   the plan whose hires move, the plan that moved none, the rules, day by day
hire_study, hire_summary   such seasons put beside each other
past_limit   each day on hire past a limit, beside what the plan that held knew of it

Notes
-----
* One hidden truth for every policy. In the season study the n-th anode of a place wears by
  numbers drawn for that place and n alone, and whoever looks on a day reads with the same error:
  policies differ by what they do, not by luck. Rules of thumb get the same looks, bays and book,
  do neighbours at 80 % of their mark in the same visit, pull out what a reading shows at its
  limit, and are swept over their own mark with hindsight, season by season.
* Where hires move, an anode's course is drawn once over the mean wear that its hull gathers as
  drawn, and read at the wear that the hull gathers under the policy: same luck, other hours. Who
  walks up without having booked gets a free sister from the dock where the hull is in the bay or
  stopped, whatever the policy, or is turned away. Both plans are asked again on the morning of a
  look that shows an anode at its limit; rules of thumb are asked on Mondays, at their usual mark.
"""
