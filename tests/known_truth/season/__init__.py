"""A season worked through week by week, by the plan and by rules of thumb, on the same truth.

worlds    the fleets: drawn by the simulator, with prices and bays
truth     hidden wear that goes on whatever is done, the same for every policy
yard      what is done to the hulls and what is written down of it
rules     rules of thumb: by the calendar, by engine hours, at half
ours      the plan, asked each Monday on the logs as they stand
run       one policy through one season
compare   policies put beside each other, fleet by fleet
"""
