"""The usual cautions, in the order of the work; each said once here, shown where the action is.

Common practice, no source; the maker's manual, local rules and licensed trades win. What must come
first comes first: vapour is aired out and tested for before a battery circuit is broken, and
"battery off" leaves the shore lead, charger, inverter and solar panel live.
"""

from __future__ import annotations

MANUAL_WINS = (
    "Follow the maker's manual, local rules and licensed trades; where they differ from this "
    "page, they win."
)

BEFORE = (
    '"Not for hire" tag on the console until signed off. Key and lanyard out.',
    "Lifting: gear examined as the law asks; weight with fuel and water, marked points, wind, "
    "overhead lines; zone clear, rated stands, nobody under a suspended hull.",
    "Ventilate, test for fuel vapour; only then battery off. Shore lead, charger, inverter, solar "
    "off too; lock out.",
    "Hot engine, pressure: let it cool. Seacock shut. Nobody alone in an enclosed engine space or "
    "on a wet dock; lifejacket. Nobody enters the water near energised docks.",
)
"""Before anything is opened; one box to tick each."""

DURING = (
    "Eyes and gloves when brushing or drilling; respirator: antifouling dust is toxic, zinc dust "
    "may hold cadmium."
)
MAGNESIUM = (
    "Magnesium chips burn: no water on them, dry sand or a class D extinguisher; no magnesium in "
    "salt water."
)

AFTER = (
    "Metal contact checked at each anode fitted. Never paint an anode; never mix alloys.",
    "Drain plug in, seacock reopened before starting. Afloat: look for leaks, then for cooling "
    "flow.",
    "Engine runs outdoors only, people and swimmers clear, no canopy shut: carbon monoxide.",
    "Used anodes to scrap metal, maybe hazardous waste. Sizes entered in the log book.",
)
"""Before the hull goes back; one box to tick each."""

STRAY_CURRENT = "Stray-current work is for a qualified marine electrician."
IN_SHORT = (
    "Before a hand goes near engine, pump or propeller: tag on the console, engine cold, key and "
    "lanyard out, fuel vapour aired and tested for, then battery, shore lead and charger off."
)
"""One line for lists: the week, the pick list, the calendar."""
