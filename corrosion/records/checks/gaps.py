"""Rules for silence: hulls without outings, anodes nobody looked at."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pandas as pd

from corrosion.records.checks.evidence import NOTE, Evidence, Flags, Rule, flags_of, moments_of
from corrosion.records.checks.lookback import hours_between, microseconds, place_before, values_at
from corrosion.records.checks.watching import once

IDLE_H = 30 * 24.0
UNREAD_H = 60 * 24.0
UNREAD_OUTINGS = 10
HIRE_SLACK = pd.Timedelta(hours=3)
HIRES_GO_OUT = 0.8
# the rest of the fleet works when a hull of it goes out at least that often, outings a day
WORKING_OUTINGS_A_DAY = 0.3


def idle_in_season(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """No outing for 30 days or more while the rest of the fleet worked."""
    silences = _silences(evidence)
    idle = silences.loc[_fleet_worked(silences, evidence), "hull_no"]
    return rows["hull_no"].isin(idle)


def never_out(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """In service for 30 days or more without any outing, in a fleet that has some."""
    came = rows["in_service"].fillna(evidence["outings"]["ended"].min())
    present_h = hours_between(rows["retired"].fillna(evidence.on), came)
    out = rows["hull_no"].isin(evidence["outings"]["hull_no"].unique())
    return ~out & (present_h >= IDLE_H) & (not evidence["outings"].empty)


def booked_not_out(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """A hire that is over without an outing of the hull, in a fleet whose hires mostly have one."""
    within_log, out = once(evidence, "hires that went out", _went_out)
    over = rows["ends"] + HIRE_SLACK <= evidence.on
    usual = out[over & within_log].mean() >= HIRES_GO_OUT
    return flags_of(over & within_log & ~out & usual, rows)


def _went_out(evidence: Evidence) -> tuple[Flags, Flags]:
    """Tell of each hire whether it ended within the log of outings, and whether it went out."""
    rows, outings = evidence["bookings"], evidence["outings"]
    within_log = rows["ends"] <= outings["ended"].max()
    hires = rows.assign(begins=rows["starts"] - HIRE_SLACK, over=rows["ends"] + HIRE_SLACK)
    place = place_before(hires, outings, ["hull_no"], "over", "started")
    last = values_at(outings["ended"], place)
    last.index = rows.index
    return within_log, last >= hires["begins"]


def anode_unread(rows: pd.DataFrame, evidence: Evidence) -> Flags:
    """Used for 60 days and ten outings since somebody looked at one of its anodes."""
    anodes, outings = _anodes_in_service(evidence), evidence["outings"]
    used = once(evidence, "outings by hull", _outings_by_hull)
    last_out = moments_of(used.last, anodes["hull_no"])
    first_out = moments_of(used.first, anodes["hull_no"])
    looked = _last_look(anodes, evidence).fillna(first_out)
    used_h = hours_between(last_out, looked)
    anodes_looked_at = anodes.assign(looked=looked)
    place = place_before(anodes_looked_at, outings, ["hull_no"], "looked", "ended")
    before = values_at(used.so_far, place).fillna(0)
    after = anodes["hull_no"].map(used.times) - before
    unread = (after >= UNREAD_OUTINGS) & (used_h >= UNREAD_H)
    return rows["hull_id"].isin(anodes.loc[unread, "hull_id"])


class _Outings(NamedTuple):
    """When each hull went out first and came back last, how often; and of each outing, so far."""

    first: pd.Series
    last: pd.Series
    times: pd.Series
    so_far: pd.Series


def _outings_by_hull(evidence: Evidence) -> _Outings:
    by_hull = evidence["outings"].groupby("hull_no", sort=False)
    first, last = by_hull["started"].min(), by_hull["ended"].max()
    return _Outings(first, last, by_hull.size(), by_hull.cumcount() + 1)


def _silences(evidence: Evidence) -> pd.DataFrame:
    """One row per stretch of 30 days or more between two outings of a hull, or up to the end."""
    outings = evidence["outings"][["hull_no", "started", "ended"]]
    last = outings["ended"].max()
    following = outings.groupby("hull_no", sort=False)["started"].shift(-1)
    retired = moments_of(
        evidence["hulls"].drop_duplicates("hull_no").set_index("hull_no")["retired"],
        outings["hull_no"],
    )
    until = following.fillna(retired).fillna(last)
    stretches = outings.assign(until=until)
    return stretches[hours_between(stretches["until"], stretches["ended"]) >= IDLE_H]


def _fleet_worked(silences: pd.DataFrame, evidence: Evidence) -> Flags:
    """During the stretch the other hulls went out about as usual for a working fleet."""
    started = np.sort(microseconds(evidence["outings"]["started"]))
    hulls = max(evidence["outings"]["hull_no"].nunique(), 1)
    begun = started.searchsorted(microseconds(silences["ended"]))
    done = started.searchsorted(microseconds(silences["until"]))
    days = hours_between(silences["until"], silences["ended"]) / 24.0
    return pd.Series(done - begun, index=silences.index) / hulls / days >= WORKING_OUTINGS_A_DAY


def _anodes_in_service(evidence: Evidence) -> pd.DataFrame:
    hulls = evidence["hulls"]
    retired = hulls["retired"].notna() & (hulls["retired"] <= evidence.on)
    hulls = hulls.loc[~retired, ["hull_id", "hull_no", "layout"]].astype({"layout": object})
    positions = evidence["anode_positions"][["layout", "position"]].astype(object)
    return hulls.merge(positions, on="layout")


def _last_look(anodes: pd.DataFrame, evidence: Evidence) -> pd.Series:
    """When each anode was last read or fitted."""
    spot = ["hull_no", "position", "spot_no"]
    readings = evidence["readings"][[*spot, "read_at"]]
    fittings = evidence["fittings"][[*spot, "fitted_at"]]
    looks = pd.concat([readings, fittings.rename(columns={"fitted_at": "read_at"})])
    last = looks.groupby("spot_no", sort=False)["read_at"].max()
    seen = pd.MultiIndex.from_frame(looks.drop_duplicates("spot_no")[["hull_no", "position"]])
    keys = pd.MultiIndex.from_frame(anodes[["hull_no", "position"]])
    return pd.Series(last.set_axis(seen).reindex(keys).array, index=anodes.index)


GAP_RULES: tuple[Rule, ...] = (
    Rule(
        "idle-in-season",
        ("hulls",),
        NOTE,
        "No outing for 30 days or more while the rest worked: laid up, lent, renamed, or outings "
        "not entered?",
        idle_in_season,
    ),
    Rule(
        "never-out",
        ("hulls",),
        NOTE,
        "In service for 30 days without an outing: enter its outings, or the day it left.",
        never_out,
    ),
    Rule(
        "booked-not-out",
        ("bookings",),
        NOTE,
        "The hire is over and no outing was entered: enter it, or strike the hire out.",
        booked_not_out,
        ("ends",),
    ),
    Rule(
        "anode-unread",
        ("hulls",),
        NOTE,
        "At least one anode was not looked at for 60 days of use: look at it.",
        anode_unread,
    ),
)
