"""Hires that move, and the wear that follows them: the outings of one policy's season.

The simulator draws who goes out when; a policy may give a hire to a sister or call it off. The hull
that takes the hire gets its engine hours, its wet hours and its rinse. An anode's wear is the one
that was drawn for it, read at the mean wear that its hull has gathered: same luck, other hours.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from tests.known_truth.season.outings import LOST, Outings
from tests.known_truth.season.rules import mooring_of
from tests.known_truth.season.truth import Anode, Place
from tests.known_truth.season.worlds import World
from tests.known_truth.season.yard import Removed, Yard
from tests.known_truth.simulator.physics import Floats
from tests.known_truth.simulator.strays import pace_over_time
from tests.known_truth.simulator.timeline import Timeline, build_timeline

TURN_H = 0.5
WALK_UP_VALUE = 150.0
"""Currency: what a hire that nobody booked is worth; booked ones say it themselves."""
FAR = 4.0
"""Beyond the last hour drawn, wear goes on as it did: so many times the wear that was drawn."""


@dataclass(frozen=True)
class Shut:
    """Hours in which a hull takes no hire; `stop`: it must not sail, else it is in the bay."""

    hull: int
    start_h: float
    end_h: float
    stop: bool


@dataclass
class Tally:
    """What became of the season's hires under one policy."""

    hires: int = 0
    moved: int = 0
    cancelled: int = 0
    by_dock: int = 0
    turned_away: int = 0
    income_lost: float = 0.0
    stopped_sailed: int = 0
    overlaps: int = 0


@dataclass
class HireYard(Yard):
    """A yard whose hulls may take each other's hires; visits begin at any hour.

    Attributes
    ----------
    outings : Outings
    kind : mapping of hull_id to what it can stand in for
    tally : Tally
    past : list of (place, from hour, to hour, anode), stretches that an anode spent past its limit
    """

    outings: Outings | None = None
    kind: dict[str, str] = field(default_factory=dict)
    tally: Tally = field(default_factory=Tally)
    past: list[tuple[int, float, float, Anode]] = field(default_factory=list)
    base: tuple[Place, ...] = ()

    def _rng(self, at: int, day: float) -> np.random.Generator:  # type: ignore[override]
        return super()._rng(at, int(day))

    def _count(self, at: int, until_h: float, *, replaced: bool) -> None:
        anode, first_h = self.anodes[at], self.world.first_h
        begins = max(anode.crossing_h(), first_h, anode.fitted_h)
        if until_h > begins:
            self.past.append((at, begins, until_h, anode))
        if until_h > anode.fitted_h:
            days = max(until_h - begins, 0.0) / 24.0
            self.removed.append(Removed(at, anode.worn_at(until_h), days, replaced))

    def look(self, hull_id: str, day: int, positions: tuple[str, ...]) -> bool:
        """Look at some anodes because a hire waits for it; whether all are short of their limit."""
        own = [at for at in self.by_hull[hull_id] if self.places[at].position.position in positions]
        for at in own:
            self._read(at, day, self._rng(at, day), removed=False)
        return all(self.last_share[at] < 1.0 for at in own)

    def days_on_hire_past(self) -> int:
        """Count days of anodes past their limit on which their hull went out on hire."""
        out, ids = self.outings, [hull.hull_id for hull in self.world.fleet.hulls]
        days = 0
        for at, begins, until, _ in self.past:
            own = out.hull == ids.index(self.places[at].hull.hull_id)
            went = out.start_h[own & (out.start_h >= begins) & (out.start_h < until)]
            days += np.unique(np.floor(went / 24.0)).size
        return days

    def sail(
        self, day: int, changes: list[tuple[int, int]], shut: list[Shut], now_h: float,
        failed: frozenset[int] = frozenset(),
    ) -> None:  # fmt: skip
        """Carry out what was decided of a day's hires, and what the dock does about the rest.

        Parameters
        ----------
        day : int
        changes : list of (row of the log `bookings`, number of the hull or LOST)
        shut : hours in which hulls take no hire
        now_h : float, hour of the decision: hires booked later are not known to it
        failed : hulls whose look before a hire did not pass: the dock sees to their hires
        """
        out, touched = self.outings, set[int]()
        todays = out.of_day(day)
        book = self.world.fleet.tables["bookings"]
        taken = book["taken_h"].to_numpy(float)[out.booking]
        known = (out.booking >= 0) & (taken <= now_h) & ~np.isin(out.hull, list(failed))
        self.tally.hires += todays.size
        for row, to in changes:
            for at in todays[out.booking[todays] == row]:
                touched |= self._give(int(at), to, "moved", "cancelled")
        for at in [int(each) for each in todays if not known[each]]:
            if out.hull[at] >= 0 and not self._can(at, int(out.hull[at]), shut, todays, known):
                free = [hull for hull in self._sisters(int(out.hull[at]), day)
                        if self._can(at, hull, shut, todays, known)]  # fmt: skip
                touched |= self._give(at, free[0] if free else LOST, "by_dock", "turned_away")
        self._judge(todays, shut)
        for hull in touched:
            self.redraw(hull)

    def _give(self, at: int, to: int, moved: str, gone: str) -> set[int]:
        """Give an outing to another hull, or to none, and write it down."""
        out, tables = self.outings, self.world.fleet.tables
        before, row = int(out.hull[at]), int(out.booking[at])
        out.hull[at] = to
        name = moved if to >= 0 else gone
        setattr(self.tally, name, getattr(self.tally, name) + 1)
        if to < 0:
            value = tables["bookings"]["hire_value"].to_numpy(float)[row] if row >= 0 else np.nan
            self.tally.income_lost += value if np.isfinite(value) else WALK_UP_VALUE
            return {before}
        hull_id = self.world.fleet.hulls[to].hull_id
        for log, rows in (("outings", out.row), ("flushes", out.rinse_row)):
            if rows[at] >= 0:
                table = tables[log]
                table.iloc[rows[at], table.columns.get_loc("hull_id")] = hull_id
        return {before, to}

    def _can(
        self, at: int, hull: int, shut: list[Shut], todays: np.ndarray, known: np.ndarray
    ) -> bool:
        """Tell whether a hull can make an outing; a hire that stood in the book goes first."""
        out = self.outings
        start, end = out.start_h[at] - TURN_H, out.end_h[at] + TURN_H
        if any(s.hull == hull and s.start_h < end and s.end_h > start for s in shut):
            return False
        own = [o for o in todays if o != at and out.hull[o] == hull and (known[o] or o < at)]
        if hull != out.hull[at]:
            own = [o for o in todays if o != at and out.hull[o] == hull]
        return not any(out.start_h[o] < end - TURN_H and out.end_h[o] > start + TURN_H for o in own)

    def _sisters(self, hull: int, day: int) -> list[int]:
        hulls = self.world.fleet.hulls
        own, at = self.kind[hulls[hull].hull_id], mooring_of(self.world, hulls[hull].hull_id, day)
        return [
            n for n, each in enumerate(hulls)
            if n != hull and self.kind[each.hull_id] == own
            and each.joins_day < day < each.leaves_day - 1
            and mooring_of(self.world, each.hull_id, day) == at
        ]  # fmt: skip

    def _judge(self, todays: np.ndarray, shut: list[Shut]) -> None:
        """Count what should never be: a stopped hull that sails, a hull in two places at once."""
        out = self.outings
        made = [int(at) for at in todays if out.hull[at] >= 0]
        for n, at in enumerate(made):
            own = [s for s in shut if s.hull == out.hull[at]]
            start, end = out.start_h[at], out.end_h[at]
            self.tally.stopped_sailed += any(s.stop and s.start_h <= start < s.end_h for s in own)
            twice = any(not s.stop and s.start_h < end and s.end_h > start for s in own)
            self.tally.overlaps += twice or any(
                out.hull[o] == out.hull[at] and out.start_h[o] < end and out.end_h[o] > start
                for o in made[:n]
            )

    def redraw(self, number: int) -> None:
        """Work the hull's time out anew, and the wear of the anodes that are in it."""
        fleet, out = self.world.fleet, self.outings
        hull, base, own = fleet.hulls[number], fleet.uses[number], out.hull == number
        order = np.argsort(out.start_h[own], kind="stable")
        start, end = out.start_h[own][order], out.end_h[own][order]
        rinse = out.rinse[own]
        other = base.flush_h[~np.isin(base.flush_h, out.rinse)]
        use = replace(
            base, start_h=start, end_h=end, engine_h=out.engine_h[own][order],
            water=out.water[own][order], mooring=out.mooring[own][order],
            flush_h=np.sort(np.concatenate([rinse[np.isfinite(rinse)], other])),
        )  # fmt: skip
        fleet.uses[number] = use
        end_h = float(fleet.timelines[number].bound_h[-1])
        line = build_timeline(
            hull, use, np.array([self.world.first_h]), end_h, fleet.plan, fleet.physics,
            fleet.moorings,
        )  # fmt: skip
        for at in self.by_hull.get(hull.hull_id, []):
            self.places[at] = FollowingPlace.over(self.base[at], line, self.world.first_h)
            self.anodes[at] = self.places[at].again(self.anodes[at])


@dataclass
class FollowingPlace(Place):
    """A place whose hull has gone other ways than were drawn for it."""

    drawn: Place | None = None
    first_h: float = 0.0

    @staticmethod
    def over(drawn: Place, line: Timeline, first_h: float) -> FollowingPlace:
        """Return the place with its hull's new time."""
        return FollowingPlace(
            drawn.seed, drawn.hull, drawn.position, line, drawn.fleet, drawn.first,
            drawn=drawn, first_h=first_h,
        )  # fmt: skip

    def again(self, anode: Anode) -> Anode:
        """Return the anode in service as it wears from now on; what was worn stays so."""
        if anode.number:
            return self.fit(anode.number, anode.fitted_h)
        since = max(self.first_h, self.first.fitted_h)
        base_h = self.drawn.line.bound_h[self.drawn.line.bound_h >= since]
        base_mm = self._mm(self.drawn.line, base_h) - self._mm(self.drawn.line, since)
        worn = np.interp(base_h, self.first.bound_h, self.first.worn)
        bound = self.line.bound_h[self.line.bound_h > since]
        gathered = self._mm(self.line, bound) - self._mm(self.line, since)
        before = self.first.bound_h <= since
        begins = self.first.worn_at(since)
        return Anode(
            0, self.first.fitted_h,
            np.concatenate([self.first.bound_h[before], [since], bound]),
            np.concatenate([
                self.first.worn[before], [begins],
                _read_at(gathered, np.append(0.0, base_mm), np.append(begins, worn)),
            ]),
        )  # fmt: skip

    def _mean_path(self, number: int) -> Floats:
        base = self.drawn.line.bound_h
        path = self.drawn._mean_path(number)
        return _read_at(
            self._mm(self.line, self.line.bound_h), self._mm(self.drawn.line, base), path
        )

    def _mm(self, line: Timeline, hours: Floats | float) -> Floats:
        """Return the mean wear that the place has gathered by some hours, strays and all."""
        mean = line.circuit_mm(self.position.circuit)
        middle = (line.bound_h[1:] + line.bound_h[:-1]) / 2
        factor = pace_over_time(self.fleet.strays, self.hull, self.position, middle)
        mean = mean if factor is None else mean * factor
        return np.interp(hours, line.bound_h, np.concatenate([[0.0], np.cumsum(mean)]))


def _read_at(gathered: Floats, drawn_mm: Floats, drawn: Floats) -> Floats:
    """Read a drawn course at other sums of mean wear; beyond it, it goes on as it went."""
    far_mm = drawn_mm[-1] + (drawn_mm[-1] - drawn_mm[0]) * FAR
    far = drawn[-1] + (drawn[-1] - drawn[0]) * FAR
    return np.interp(gathered, np.append(drawn_mm, far_mm), np.append(drawn, far))


def own_fleet(world: World) -> World:
    """Return the world with logs and uses that one policy may write in, nobody else's."""
    tables = {name: table.copy() for name, table in world.fleet.tables.items()}
    fleet = replace(world.fleet, uses=list(world.fleet.uses), tables=tables)
    return replace(world, fleet=fleet)
