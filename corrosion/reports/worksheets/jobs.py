"""One job a pull-out: each position in access order, its limit, its last looks, what to bring."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, tzinfo
from typing import Any, Final, Literal, NamedTuple

import pandas as pd

from corrosion.common import formatting
from corrosion.records import Checked
from corrosion.reports.metal_left import MetalLeft, metal_left

LAST_LOOKS: Final = 3
Do = Literal["replace", "measure"]


@dataclass(frozen=True)
class Task:
    """What to do at one position.

    Attributes
    ----------
    position : str
        The place of the anode.
    do : {'replace', 'measure'}
        What the plan wants there.
    opens : str
        What is dismantled to get there; empty where the register does not say.
    alloy, gauge, part_number : str
        As registered; empty where not known.
    limit : str
        Replace at or below, in the unit of the caliper.
    manual : str
        Manual and page of limit, torque and compound; empty where the register names none.
    looks : tuple of str
        The last looks at the anode that is in, oldest first, each with its date.
    fitted : str
        Date on which it was put in; empty where nobody wrote it down.
    metal : MetalLeft or None
        What is taken to be left of it now; None where no forecast is at hand, and where it is
        only measured: whoever measures is not told what to find.
    """

    position: str
    do: Do
    opens: str
    alloy: str
    gauge: str
    part_number: str
    limit: str
    manual: str
    looks: tuple[str, ...]
    fitted: str
    metal: MetalLeft | None = None


@dataclass(frozen=True)
class Job:
    """One pull-out, as the mechanic needs it.

    Attributes
    ----------
    hull_id, name, layout : str
        Which hull.
    mooring, day : str
        Where and when, as said.
    bay : int or None
        Which bay of the mooring, from 1.
    hours : float
        Planned work, h.
    measure_first : bool
        What is found decides what is replaced.
    tasks : tuple of Task
        In the order of access.
    untouched : tuple of str
        Positions of the hull that stay shut.
    parts, seals : mapping of str to int
        Pieces to bring, by part number.
    stop : str
        That the hull must not be hired out before this work; empty: it may.
    """

    hull_id: str
    name: str
    layout: str
    mooring: str
    day: str
    bay: int | None
    hours: float
    measure_first: bool
    tasks: tuple[Task, ...]
    untouched: tuple[str, ...]
    parts: Mapping[str, int]
    seals: Mapping[str, int]
    stop: str = ""

    @property
    def magnesium(self) -> bool:
        """Tell whether an anode of this job is of magnesium, whose chips burn."""
        return any(task.alloy == "magnesium" for task in self.tasks)


class _Look(NamedTuple):
    read_at: pd.Timestamp
    size_mm: float
    size_low_mm: float
    size_high_mm: float
    verdict: str | None
    doubtful: bool


def jobs(
    checked: Checked, pulls: pd.DataFrame, anodes: pd.DataFrame | None = None
) -> tuple[Job, ...]:
    """Gather the jobs of a plan's pull-outs, in the order of the table.

    Parameters
    ----------
    checked : Checked
        The fleet's logs.
    pulls : DataFrame, one row a pull-out
        `day` (date), `mooring_id`, `bay`, `hull_id`, `replace` and `measure` (positions in access
        order), `hours` (h), `parts` and `seals` (part number to pieces), `kind`.
    anodes : DataFrame, optional
        The forecast's anodes, for the mark of the metal that is left.

    Returns
    -------
    tuple of Job
    """
    return tuple(_job(checked, pull, anodes) for pull in pulls.itertuples())


def _job(checked: Checked, pull: Any, anodes: pd.DataFrame | None) -> Job:
    zone = checked.logbook.settings.timezone
    hull = _row(checked.hulls, "hull_id", pull.hull_id)
    layout = _text(hull.get("layout"))
    places = checked.anode_positions[checked.anode_positions["layout"] == layout]
    wanted: dict[str, Do] = dict.fromkeys(pull.measure, "measure")
    wanted |= dict.fromkeys(pull.replace, "replace")
    order = in_access_order(places, [*pull.replace, *pull.measure])
    return Job(
        hull_id=pull.hull_id,
        name=_text(hull.get("name")),
        layout=layout,
        mooring=_mooring(checked, pull.mooring_id),
        day=formatting.day(pull.day, zone),
        bay=None if pd.isna(pull.bay) else int(pull.bay),
        hours=float(pull.hours),
        measure_first=pull.kind == "measure-first",
        tasks=tuple(_task(checked, pull.hull_id, p, wanted[p], places, anodes) for p in order),
        untouched=tuple(str(p) for p in places["position"] if p not in wanted),
        parts=dict(pull.parts),
        seals=dict(pull.seals),
        stop=_stop(pull),
    )


def _stop(pull: Any) -> str:
    """Say that the hull must not sail before the work; the tag on its console says why."""
    return "not for hire" if getattr(pull, "stop", "") else ""


def looks_of_hull(checked: Checked, hull_id: str, positions: list[str]) -> tuple[Task, ...]:
    """Gather what a mechanic needs to measure some anodes of a hull, in the order of access.

    Parameters
    ----------
    checked : Checked
        The fleet's logs.
    hull_id : str
        The hull.
    positions : list of str
        What to measure; the first one's access comes first.

    Returns
    -------
    tuple of Task
    """
    layout = _row(checked.hulls, "hull_id", hull_id).get("layout")
    places = checked.anode_positions[checked.anode_positions["layout"] == layout]
    order = in_access_order(places, positions)
    return tuple(_task(checked, hull_id, position, "measure", places, None) for position in order)


def in_access_order(places: pd.DataFrame, wanted: list[str]) -> list[str]:
    """Put positions in the order of access: what one dismantling opens stays together.

    Parameters
    ----------
    places : DataFrame
        The layout's rows of `anode_positions`.
    wanted : list of str
        Positions to go to; the first one's access comes first.

    Returns
    -------
    list of str
        Each once; the order of `wanted` decides between accesses, and within one.
    """
    opens = dict(zip(places["position"], places["access_group"], strict=True))
    groups: dict[str, list[str]] = {}
    for position in dict.fromkeys(wanted):
        groups.setdefault(_text(opens.get(position)) or f"\0{position}", []).append(position)
    return [position for group in groups.values() for position in group]


def _task(
    checked: Checked, hull_id: str, position: str, do: Do, places: pd.DataFrame,
    anodes: pd.DataFrame | None,
) -> Task:  # fmt: skip
    settings = checked.logbook.settings
    place = _row(places, "position", position)
    since = _since(checked, hull_id, position)
    limit_mm = place.get("limit_size_mm")
    return Task(
        position=position,
        do=do,
        opens=_text(place.get("access_group")),
        alloy=_text(place.get("alloy")),
        gauge=_text(place.get("gauge")),
        part_number=_text(place.get("part_number")),
        limit="" if pd.isna(limit_mm) else formatting.size(limit_mm, settings.length_unit),
        manual=_text(place.get("limit_source")),
        looks=tuple(_looks(checked, hull_id, position, since)),
        fitted=_date(since, settings.timezone),
        metal=_metal(anodes, hull_id, position) if do == "replace" else None,
    )


def _metal(anodes: pd.DataFrame | None, hull_id: str, position: str) -> MetalLeft | None:
    """Give what the forecast takes to be left of an anode; None where it has none."""
    if anodes is None:
        return None
    own = anodes[(anodes["hull_id"] == hull_id) & (anodes["position"] == position)]
    return next((metal_left(row) for row in own.itertuples()), None)


def _since(checked: Checked, hull_id: str, position: str) -> pd.Timestamp | None:
    """Say when the anode that is in was put in, as far as somebody wrote it down."""
    fitted = _of(checked.fittings, hull_id, position)["fitted_at"].dropna()
    return fitted.max() if len(fitted) else None


def _looks(
    checked: Checked, hull_id: str, position: str, since: pd.Timestamp | None
) -> Iterator[str]:
    """Say the last looks at the anode that is in; one that went out with its anode is not of it."""
    settings = checked.logbook.settings
    looks = _of(checked.readings, hull_id, position).sort_values("read_at", kind="stable")
    others = looks["breaks_life"].to_numpy(dtype=bool).nonzero()[0]
    looks = looks.iloc[others[-1] :] if others.size else looks
    looks = looks[looks["read_at"] >= since] if since is not None else looks
    looks = looks[~looks["removed"].fillna(False).astype(bool)].tail(LAST_LOOKS)
    for look in map(_Look._make, looks[list(_Look._fields)].itertuples(index=False)):
        doubt = " (doubtful)" if look.doubtful else ""
        seen = _seen(look, settings.length_unit)
        yield f"{_date(look.read_at, settings.timezone)}: {seen}{doubt}"


def _seen(look: _Look, length_unit: str) -> str:
    """Say one look: a size, a range by eye, or a verdict."""
    if look.size_mm == look.size_mm:
        return formatting.size(look.size_mm, length_unit)
    low, high = look.size_low_mm, look.size_high_mm
    ends = [formatting.size(end, length_unit) for end in (low, high) if end == end]
    if not ends:
        return f"seen: {look.verdict or 'no size'}"
    return f"by eye {' to '.join(dict.fromkeys(ends))}".replace(f" {length_unit} to ", "\u2013")


def _of(table: pd.DataFrame, hull_id: str, position: str) -> pd.DataFrame:
    return table[(table["hull_id"] == hull_id) & (table["position"] == position)]


def _row(table: pd.DataFrame, column: str, value: object) -> dict[Any, Any]:
    """Give the last row about something; nothing is known where there is none."""
    rows = table[table[column] == value]
    return {} if rows.empty else rows.iloc[-1].to_dict()


def _mooring(checked: Checked, mooring_id: object) -> str:
    mooring = _text(mooring_id)
    name = _text(_row(checked.moorings, "mooring_id", mooring).get("name"))
    return f"{mooring}, {name}" if name and name != mooring else mooring or "not known"


def _date(when: pd.Timestamp | date | None, zone: tzinfo) -> str:
    """Write a date without its weekday; nothing for none."""
    return "" if when is None else formatting.day(when, zone).split(" ", 1)[1]


def _text(value: object) -> str:
    return value if isinstance(value, str) else ""
