"""What a form starts from: the hulls, where they lie, their anodes, and what came last."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

from corrosion.common import Z80
from corrosion.forecast import Appraisal
from corrosion.records import Checked, Logbook
from corrosion.reports import reading_error_mm

EXPECTED = ["hull_id", "position", "size_mm", "sd_mm"]
MINUTE = pd.Timedelta(minutes=1)
USUAL_ERROR_MM = 0.15
"""A clean caliper reading repeats to about this (common practice, no source)."""


@dataclass(frozen=True)
class Place:
    """A place for an anode on one hull, with the last look at it.

    Attributes
    ----------
    position, circuit, gauge, alloy, access_group, limit_source : str
        As in the register; empty where not known.
    new_mm, limit_mm : float
        Size of a new part, and the limit, mm.
    last_at : Timestamp or None
        The last look or fitting, UTC.
    last_mm : float or None
        The size seen then, mm.
    """

    position: str
    circuit: str
    gauge: str
    alloy: str
    access_group: str
    limit_source: str
    new_mm: float
    limit_mm: float
    last_at: pd.Timestamp | None
    last_mm: float | None


@dataclass(frozen=True)
class Desk:
    """The fleet as somebody at the desk sees it, at the moment of writing.

    Attributes
    ----------
    checked : Checked
        The newest logs.
    now : Timestamp
        UTC; for a simulated fleet its last logged moment.
    expected : DataFrame
        Columns `EXPECTED`: the size that the forecast expects an anode to have, and how far a
        reading may lie from it (one standard deviation, reading error included), mm. Empty where
        there is no forecast.
    """

    checked: Checked
    now: pd.Timestamp
    expected: pd.DataFrame

    @property
    def logbook(self) -> Logbook:
        """The logs as they were read."""
        return self.checked.logbook

    @property
    def local_now(self) -> pd.Timestamp:
        """The moment of writing by the fleet's clocks."""
        return self.now.tz_convert(self.logbook.settings.timezone)

    @property
    def entered(self) -> pd.Timestamp:
        """When an entry made now counts as written down; a simulated fleet's clock moves on."""
        simulated = self.logbook.settings.simulated
        return self.now + MINUTE if simulated else self.now

    def hulls(self) -> list[str]:
        """Hulls in the fleet now, by name of the hull."""
        hulls = self.checked.hulls
        left = hulls["retired"].notna() & (hulls["retired"] <= self.now)
        return sorted(hulls.loc[~left, "hull_id"].dropna().astype(str).unique())

    def moorings(self) -> list[str]:
        """The moorings, in the order of the register."""
        return list(self.checked.moorings["mooring_id"].dropna().astype(str).unique())

    def berth(self, hull_id: str) -> pd.Series | None:
        """The hull's berth now; None where none is on record."""
        berths = self.checked.berths
        own = berths[(berths["hull_id"] == hull_id) & ~(berths["since"] > self.now)]
        return None if own.empty else own.sort_values("since", kind="stable").iloc[-1]

    def water(self, hull_id: str) -> str:
        """The water of the hull's mooring; empty where not known."""
        berth = self.berth(hull_id)
        return "" if berth is None else self.water_at(str(berth["mooring_id"]))

    def water_at(self, mooring_id: str) -> str:
        """The water of a mooring; empty where not known."""
        moorings = self.checked.moorings
        waters = moorings.loc[moorings["mooring_id"] == mooring_id, "water"].dropna()
        return "" if waters.empty else str(waters.iloc[0])

    def meter(self, hull_id: str) -> float | None:
        """The last hour-meter reading of the hull, h."""
        own = self.checked.outings[self.checked.outings["hull_id"] == hull_id]
        read = own["meter_hours"].dropna()
        return None if read.empty else float(read.iloc[-1])

    def last_hull(self) -> str | None:
        """The hull of the newest entry of any log of events."""
        newest: tuple[pd.Timestamp, str] | None = None
        for log in ("outings", "flushes", "readings", "fittings", "berths"):
            rows = self.checked.tables[log]
            rows = rows[rows["entered_at"].notna() & rows["hull_id"].notna()]
            if rows.empty:
                continue
            row = rows.iloc[int(rows["entered_at"].argmax())]
            if newest is None or row["entered_at"] > newest[0]:
                newest = (row["entered_at"], str(row["hull_id"]))
        return None if newest is None else newest[1]

    def places(self, hull_id: str) -> list[Place]:
        """The hull's places for anodes in access order: what comes apart together stands together.

        The group whose anode was looked at longest ago comes first.
        """
        hulls = self.checked.hulls
        layout = hulls.loc[hulls["hull_id"] == hull_id, "layout"]
        register = self.checked.anode_positions
        own = register[register["layout"].isin(layout)].drop_duplicates("position")
        looks = self._looks(hull_id)
        in_access_order = [
            _place(row, _last(looks[looks["position"] == row["position"]])) for row in _rows(own)
        ]
        return sorted(in_access_order, key=_access_order(in_access_order))

    def expected_of(self, hull_id: str, position: str) -> tuple[float, float] | None:
        """Expected size and its standard deviation, mm; None where there is no forecast."""
        table = self.expected
        rows = table[(table["hull_id"] == hull_id) & (table["position"] == position)]
        if rows.empty:
            return None
        return float(rows["size_mm"].iloc[0]), float(rows["sd_mm"].iloc[0])

    def _looks(self, hull_id: str) -> pd.DataFrame:
        """Fittings and readings of a hull by time: `position`, `at`, `size_mm`."""
        fitted, read = (
            rows.loc[rows["hull_id"] == hull_id, ["position", at, "size_mm"]].rename(
                columns={at: "at"}
            )
            for rows, at in (
                (self.checked.fittings, "fitted_at"),
                (self.checked.readings, "read_at"),
            )
        )
        both = pd.concat([fitted, read]).dropna(subset=["at"])
        return both.sort_values("at", kind="stable")


def _last(looks: pd.DataFrame) -> tuple[pd.Timestamp, float | None] | None:
    if looks.empty:
        return None
    last = looks.iloc[-1]
    return last["at"], None if pd.isna(last["size_mm"]) else float(last["size_mm"])


def desk_of(checked: Checked, expected: pd.DataFrame | None, clock: pd.Timestamp) -> Desk:
    """Sit down at the desk.

    Parameters
    ----------
    checked : Checked
        The newest logs, checked.
    expected : DataFrame or None
        As `expected_sizes` gives it; None where there is no forecast.
    clock : Timestamp
        The clock on the wall, UTC; not used for a simulated fleet, whose now is its last moment.

    Returns
    -------
    Desk
    """
    simulated = checked.logbook.settings.simulated
    now = checked.logbook.on if simulated else clock.as_unit("us")
    return Desk(checked, now, pd.DataFrame(columns=EXPECTED) if expected is None else expected)


def expected_sizes(appraisal: Appraisal) -> pd.DataFrame:
    """Sizes that the forecast expects a caliper to show now.

    Parameters
    ----------
    appraisal : Appraisal
        The fleet's appraisal.

    Returns
    -------
    DataFrame
        One row an anode with a forecast; columns `EXPECTED`, mm.
    """
    anodes = appraisal.forecast.anodes
    anodes = anodes[anodes["worn"].notna()]
    allowance_mm = anodes["new_size_mm"] - anodes["limit_size_mm"]
    worn_sd = (anodes["worn_high"] - anodes["worn_low"]) / (2 * Z80)
    sd_mm = ((worn_sd * allowance_mm) ** 2 + reading_error_mm(appraisal) ** 2) ** 0.5
    return pd.DataFrame(
        {
            "hull_id": anodes["hull_id"],
            "position": anodes["position"],
            "size_mm": anodes["new_size_mm"] - anodes["worn"] * allowance_mm,
            "sd_mm": sd_mm.clip(lower=USUAL_ERROR_MM),
        }
    ).reset_index(drop=True)


def _rows(table: pd.DataFrame) -> list[pd.Series]:
    return [row for _, row in table.iterrows()]


def _place(row: pd.Series, last: tuple[pd.Timestamp, float | None] | None) -> Place:
    texts = {name: row[name] if isinstance(row[name], str) else "" for name in _TEXTS}
    sizes = float(row["new_size_mm"]), float(row["limit_size_mm"])
    return Place(**texts, new_mm=sizes[0], limit_mm=sizes[1], last_at=last[0] if last else None,
                 last_mm=last[1] if last else None)  # fmt: skip


_TEXTS = ("position", "circuit", "gauge", "alloy", "access_group", "limit_source")


def _access_order(places: list[Place]) -> Callable[[Place], tuple[float, str, str]]:
    """Order groups by the oldest look in them, never looked at first; alone is its own group."""
    oldest: dict[str, float] = {}
    for place in places:
        group = place.access_group or place.position
        seen = 0.0 if place.last_at is None else _days(place.last_at)
        oldest[group] = min(oldest.get(group, seen), seen)

    def order(place: Place) -> tuple[float, str, str]:
        group = place.access_group or place.position
        return oldest[group], group, place.position

    return order


def _days(at: pd.Timestamp) -> float:
    return at.timestamp() / 86400.0
