"""The invented harbour as data: moorings, layouts, hulls, prices, bays, and what befell the fleet.

Everything here is made up so as to be plausible. Names, prices and above all the ``late_cost``
column are invented; how often a late anode ends badly is not known to anybody.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date

WATERS = ("salt", "brackish", "fresh")
"""Operating waters, in the order of every array with a water axis."""


@dataclass(frozen=True)
class Mooring:
    """A place where hulls live, and the true course of its water."""

    mooring_id: str
    name: str
    water: str
    salinity_g_per_kg: float
    salinity_swing_g_per_kg: float
    flush_point: bool
    """A hose reaches hulls that lie afloat; lifted hulls are hosed on the wash pad everywhere."""
    shore_power: bool
    temperature_mean_c: float
    temperature_swing_c: float


@dataclass(frozen=True)
class Position:
    """A place for an anode on a layout; ``pace`` is its true wear against its circuit's rate."""

    layout: str
    position: str
    circuit: str
    alloy: str
    gauge: str
    new_size_mm: float
    limit_size_mm: float
    limit_source: str
    access_group: str
    access_minutes: float
    swap_minutes: float
    part_cost: float
    seal_cost: float
    late_cost: float
    inspect_hours: float
    inspect_days: float
    part_number: str
    pace: float = 1.0

    @property
    def allowance_mm(self) -> float:
        """New size minus limit size (mm)."""
        return self.new_size_mm - self.limit_size_mm


@dataclass(frozen=True)
class Group:
    """Hulls alike in mooring, layout and berth."""

    mooring_id: str
    layout: str
    stays: str
    pontoon: str
    hulls: int


@dataclass(frozen=True)
class Bay:
    """A place to pull hulls out."""

    mooring_id: str
    weekdays: tuple[str, ...]
    hulls_per_day: int
    hours_per_day: float


@dataclass(frozen=True)
class Move:
    """A hull goes to live elsewhere on the morning of ``day`` (days since the first)."""

    hull_id: str
    day: int
    mooring_id: str
    pontoon: str


@dataclass(frozen=True)
class Painted:
    """On ``day`` a new anode is fitted, and under paint by noon: it does not wear."""

    hull_id: str
    position: str
    day: int


@dataclass(frozen=True)
class WrongAlloy:
    """On ``day`` somebody fits an anode of the wrong alloy."""

    hull_id: str
    position: str
    day: int
    alloy: str


@dataclass(frozen=True)
class Stray:
    """Stray current at a pontoon: its afloat hull-circuit wear times ``factor`` for a while."""

    mooring_id: str
    pontoon: str
    first_day: int
    days: int
    factor: float


@dataclass(frozen=True)
class Stories:
    """What befell the fleet in truth, as against faults of writing down."""

    moves: tuple[Move, ...] = ()
    painted: tuple[Painted, ...] = ()
    wrong_alloys: tuple[WrongAlloy, ...] = ()
    strays: tuple[Stray, ...] = ()
    sold: tuple[tuple[str, int], ...] = ()
    """Hull and the day of its sale."""
    unread: tuple[tuple[str, int], ...] = ()
    """Hull and the day from which nobody looks at its anodes."""
    backlog_day: int = 10**6
    """From this day on the workshop is behind: visits slip and parts run short."""


@dataclass(frozen=True)
class Scenario:
    """A fleet and its calendar. Days count from ``first_day`` at local midnight."""

    name: str
    timezone: str
    currency: str
    first_day: date
    days: int
    """Logged days; the last moment is the morning of the day after them."""
    season_days: int
    second_season_day: int
    horizon_days: int
    """The truth goes on to here, with nobody touching an anode after the last logged moment."""
    moorings: tuple[Mooring, ...]
    positions: tuple[Position, ...]
    groups: tuple[Group, ...]
    bays: tuple[Bay, ...]
    stock: tuple[tuple[str, int], ...]
    wage_per_hour: float
    flush_minutes: float
    tolerated_risk: float
    move_cost: float
    """What moving a hire to a sister costs."""
    couriers: tuple[tuple[str, int, float], ...]
    """Parts that a courier brings: part number, days, cost."""
    stories: Stories = field(default_factory=Stories)

    def mooring(self, mooring_id: str) -> Mooring:
        """The mooring of that name."""
        return next(m for m in self.moorings if m.mooring_id == mooring_id)

    def positions_of(self, layout: str) -> tuple[Position, ...]:
        """The anode positions of a layout, in access order."""
        return tuple(p for p in self.positions if p.layout == layout)

    @property
    def hulls(self) -> int:
        """Number of hulls."""
        return sum(group.hulls for group in self.groups)


HULL_NAMES = (
    "Marram", "Teasel", "Yarrow", "Sedge", "Bracken", "Sorrel", "Tansy", "Campion", "Fescue",
    "Burdock", "Comfrey", "Bistort", "Mallow", "Vetch", "Clover", "Saltwort", "Samphire",
    "Thrift", "Sea Holly", "Kelp", "Dulse", "Eelgrass", "Rush", "Reedmace", "Flag Iris",
    "Kingcup", "Water Mint", "Figwort", "Loosestrife", "Arrowhead", "Bur Reed", "Hornwort",
    "Quillwort", "Milfoil", "Starwort", "Bogbean", "Sundew", "Heather", "Juniper", "Cloudberry",
)  # fmt: skip
"""Plants, one a hull; further hulls are named by number."""

_MOORINGS = (
    Mooring("estuary", "Brennick Mouth", "salt", 26.0, 6.5, True, True, 12.5, 5.5),
    Mooring("lagoon", "Osterpool Lagoon", "brackish", 8.0, 4.5, False, True, 13.5, 8.0),
    Mooring("lake", "Hallow Tarn", "fresh", 0.06, 0.01, True, False, 11.5, 8.5),
)

# columns: layout, position, circuit, alloy, gauge, new, limit, source, group, access and swap
# minutes, part, seal, late (invented), inspect hours and days, part number, pace
_POSITIONS = (
    Position("jet", "cooler-pencil", "engine", "aluminium", "diameter", 9.0, 6.4,
             "workshop card 3, line 2", "cooler-end", 25, 15, 14.0, 2.4, 1400, 50, 28,
             "AN-0902", 0.95),
    Position("jet", "jacket-pencil", "engine", "aluminium", "diameter", 10.0, 7.0,
             "workshop card 3, line 3", "cooler-end", 25, 15, 15.5, 2.4, 5200, 50, 28,
             "AN-1003", 1.0),
    Position("jet", "pump-plate", "hull", "aluminium", "thickness", 15.0, 10.0,
             "workshop card 4, line 1", "stern-out", 30, 20, 38.0, 0.0, 900, 100, 56,
             "AN-1551", 1.0),
    Position("outboard", "block-button-upper", "engine", "aluminium", "length", 16.0, 10.5,
             "workshop card 7, line 1", "cowl-port", 30, 15, 11.0, 1.8, 4300, 100, 28,
             "AN-1610", 1.22),
    Position("outboard", "block-button-lower", "engine", "aluminium", "length", 16.0, 10.5,
             "workshop card 7, line 2", "cowl-port", 30, 15, 11.0, 1.8, 4300, 100, 28,
             "AN-1610", 1.14),
    Position("outboard", "bracket-bar", "hull", "aluminium", "thickness", 20.0, 13.3,
             "workshop card 8, line 4", "bracket", 12, 18, 44.0, 0.0, 700, 100, 56,
             "AN-2067", 1.05),
    Position("inboard", "cooler-pencil", "engine", "aluminium", "diameter", 9.0, 6.4,
             "workshop card 11, line 1", "cooler-cap", 20, 15, 14.5, 2.1, 1900, 50, 28,
             "AN-0903", 0.9),
    Position("inboard", "jacket-pencil", "engine", "aluminium", "diameter", 10.0, 7.0,
             "workshop card 11, line 2", "manifold", 35, 20, 16.0, 2.6, 6100, 50, 28,
             "AN-1004", 1.05),
    Position("inboard", "shaft-collar", "hull", "aluminium", "thickness", 12.0, 8.0,
             "workshop card 12, line 2", "stern-out", 30, 25, 29.0, 0.0, 800, 100, 56,
             "AN-1240", 1.1),
)  # fmt: skip

_GROUPS = (
    Group("estuary", "jet", "afloat", "north", 4),
    Group("estuary", "jet", "lifted", "hard", 3),
    Group("estuary", "outboard", "afloat", "south", 5),
    Group("estuary", "inboard", "afloat", "south", 4),
    Group("lagoon", "jet", "lifted", "hard", 3),
    Group("lagoon", "outboard", "lifted", "hard", 4),
    Group("lagoon", "outboard", "afloat", "reed", 4),
    Group("lagoon", "inboard", "afloat", "reed", 3),
    Group("lake", "outboard", "afloat", "stone", 6),
    Group("lake", "inboard", "afloat", "stone", 4),
)

_STORIES = Stories(
    moves=(Move("H33", 112, "estuary", "south"), Move("H35", 399, "estuary", "north")),
    painted=(Painted("H03", "pump-plate", 345),),
    wrong_alloys=(WrongAlloy("H02", "pump-plate", 386, "magnesium"),),
    strays=(Stray("estuary", "south", 385, 35, 5.0),),
    sold=(("H24", 170),),
    unread=(("H18", 352), ("H29", 360), ("H39", 330)),
    backlog_day=392,
)

HARBOUR = Scenario(
    name="Brennick boat hire (simulated)",
    timezone="CET",  # an IANA zone with summer time that names no place
    currency="EUR",
    first_day=date(2030, 4, 15),
    days=427,
    season_days=200,
    second_season_day=355,
    horizon_days=556,
    moorings=_MOORINGS,
    positions=_POSITIONS,
    groups=_GROUPS,
    bays=(
        Bay("estuary", ("Tue", "Wed", "Thu"), 3, 9.0),
        Bay("lagoon", ("Mon", "Wed"), 2, 7.0),
        Bay("lake", ("Thu",), 2, 6.0),
    ),
    stock=(
        ("AN-0902", 9), ("AN-1003", 6), ("AN-1551", 3), ("AN-1610", 14), ("AN-2067", 4),
        ("AN-0903", 5), ("AN-1004", 2), ("AN-1240", 4),
    ),
    wage_per_hour=34.0,
    flush_minutes=7.0,
    tolerated_risk=0.10,
    move_cost=8.0,
    couriers=(("AN-1004", 4, 35.0),),
    stories=_STORIES,
)  # fmt: skip


def without_stories(scenario: Scenario) -> Scenario:
    """The same fleet, with nothing out of the ordinary."""
    return replace(scenario, stories=Stories())


def smaller(scenario: Scenario, hulls: int) -> Scenario:
    """
    A fleet of about ``hulls`` hulls in the same proportions, with nothing out of the ordinary.

    Every group keeps at least one hull as long as ``hulls`` allows, the largest groups first.
    """
    share = hulls / scenario.hulls
    counts = [max(1, round(group.hulls * share)) for group in scenario.groups]
    while sum(counts) > hulls:
        counts[counts.index(max(counts))] -= 1
    groups = tuple(
        replace(group, hulls=count)
        for group, count in zip(scenario.groups, counts, strict=True)
        if count
    )
    return replace(without_stories(scenario), groups=groups)
