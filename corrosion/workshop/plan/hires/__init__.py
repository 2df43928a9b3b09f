"""Hires that may move: what it takes to free a hull, and which hire goes to which hull.

Notes
-----
* A stated decomposition, since one programme over hulls, half hours and hires would not be solved
  while somebody waits. The plan's programme works in days: a visit on a day on which its hull is
  booked costs what the cheapest half-hour start would displace (`releasing`), and rows a kind and
  day bound how many hires may move by the sisters that are free. Then visits get their half hours
  (`half_hours`), mooring by mooring and day by day; where they are in the way of hires, together
  with the hulls that take these (`together`). Every hire within two weeks is then given to one
  hull, or cancelled, by a programme that is exact for these visits (`moving`); it falls apart by
  kind and wherever no hire crosses. Where hires cost more than the days' programme thought, it
  decides anew, and the cheapest round is kept. Of 260 yards of four hulls, two half days and six
  hires, one by one against every plan there is, two were dearer than need be (by less than a move).
* Hulls of one `hire_kind` (else layout) at one mooring stand in for each other. Only hulls that may
  sail and are within the tolerated risk take a hire; where two could, it goes to the one whose
  anodes can better afford the hours.
* A stopped hull is not free for hire from now on until a visit that deals with every anode that
  stops it has ended. Where a look may clear it and costs less than moving its hires, its next hire
  waits for that look instead.
* Assumed and said where a fleet is silent: hires may move, a move costs 10, a cancelled hire costs
  1.5 times its value (2.25 times within two days), half an hour between two hires, no hull kept
  free.
"""
