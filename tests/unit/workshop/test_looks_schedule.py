"""The schedule of looks: a date for every anode, what sets it, and what may not put it off."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.workshop.berth_groups import (
    LEAST_TURNS,
    SENTINEL_DAYS,
    Surprise,
    berth_groups,
    sentinels,
)
from corrosion.workshop.looks import LOOKS, Looks, schedule_looks
from corrosion.workshop.looks.at_stake import lay_out_ground
from corrosion.workshop.looks.latest import (
    CLOSE_LOOKS,
    LIMIT_LEAD_DAYS,
    STRAY_LOOK_DAYS,
    TELLING_DAYS,
    TELLING_ERRORS,
    latest_looks,
)
from corrosion.workshop.plan import Plan, make_plan
from tests.fleets import usual_fleet

pytestmark = pytest.mark.slow

REASONS = {"limit", "sentinel", "manual", "odd", "unread", "pays"}


@pytest.fixture(scope="module")
def plan(appraised: Appraisal) -> Plan:
    return make_plan(appraised)


@pytest.fixture(scope="module")
def looks(appraised: Appraisal, plan: Plan) -> Looks:
    return schedule_looks(appraised, plan, busiest_week(schedule_looks(appraised, plan)))


def busiest_week(looks: Looks) -> date:
    """The week in which most is to be looked at."""
    due = looks.table[looks.table["asks"] & looks.table["with_pull_out"].isna()]
    days = pd.to_datetime(due["look_by"])
    mondays = days - pd.to_timedelta(days.dt.day_of_week, unit="D")
    return max(mondays.mode().iloc[0].date(), looks.week)


def today(appraisal: Appraisal) -> object:
    return appraisal.forecast.on.tz_convert(appraisal.logbook.settings.timezone).date()


def test_every_anode_in_service_has_one_date_and_one_reason(
    appraised: Appraisal, looks: Looks
) -> None:
    anodes = appraised.forecast.anodes
    names = looks.table[["hull_id", "position"]]
    assert not names.duplicated().any()
    assert set(names.itertuples(index=False, name=None)) == set(
        anodes[["hull_id", "position"]].itertuples(index=False, name=None)
    )
    assert set(looks.table["why"]) <= REASONS
    assert (looks.table["look_by"] >= today(appraised)).all()
    assert list(looks.table.columns) == list(LOOKS)


def test_no_look_comes_later_than_its_lead_before_the_tolerated_risk(
    appraised: Appraisal, looks: Looks
) -> None:
    ground = lay_out_ground(appraised)
    tolerated = appraised.logbook.settings.tolerated_risk
    by_anode = looks.table.set_index(["hull_id", "position"])
    for row, anode in enumerate(ground.anodes.itertuples()):
        look = by_anode.loc[(anode.hull_id, anode.position)]
        over = ground.prospects.when_chance(row, tolerated)
        waits = 7.0 if look["with_pull_out"] is not None else 0.0
        assert look["days"] <= max(over - LIMIT_LEAD_DAYS, 0.0) + waits + 1e-6


def test_no_anode_waits_longer_than_the_cap_of_its_water(
    looks: Looks, appraised: Appraisal
) -> None:
    water = appraised.exposure.waters.reindex(looks.table["mooring_id"]).to_numpy(object)
    since = (looks.on - looks.table["last_read_at"]).dt.total_seconds() / 86400.0
    for row, lies_in, read in zip(looks.table.itertuples(), water, since, strict=True):
        if np.isfinite(read):
            assert max(read, 0.0) + row.days <= max(STRAY_LOOK_DAYS[lies_in], read) + 7.0 + 1e-6


def test_the_caps_that_a_fleet_enters_hold(appraised: Appraisal) -> None:
    logbook = appraised.logbook
    strict = replace(logbook.settings, stray_look_days=dict.fromkeys(STRAY_LOOK_DAYS, 5.0))
    checked = replace(appraised.checked, logbook=replace(logbook, settings=strict))
    looks = schedule_looks(replace(appraised, checked=checked))
    assert (looks.table["days"] <= 5.0 + 1e-6).all()
    assert "stray_look_days" not in " ".join(looks.assumed)


def test_what_is_assumed_is_said(looks: Looks) -> None:
    assert any("stray_look_days" in each for each in looks.assumed)


def test_a_pull_out_takes_the_looks_of_what_it_opens_along(looks: Looks, plan: Plan) -> None:
    along = looks.table[[each is not None for each in looks.table["with_pull_out"]]]
    opened = {
        (pull.hull_id, position, pull.day)
        for pull in plan.pulls.itertuples()
        for position in (*pull.replace, *pull.measure)
    }
    for row in along.itertuples():
        assert (row.hull_id, row.position, row.with_pull_out) in opened
        assert row.cost == 0.0
    done = looks.round.merge(along[["hull_id", "position"]], on=["hull_id", "position"])
    assert done.empty


def test_the_round_goes_hull_after_hull_along_the_berths(looks: Looks) -> None:
    assert len(looks.round) > 1
    walked = looks.round["mooring_id"].tolist()
    assert walked == sorted(walked)
    hulls = looks.round["hull_id"].tolist()
    blocks = [hull for at, hull in enumerate(hulls) if at == 0 or hulls[at - 1] != hull]
    assert len(blocks) == len(set(blocks))
    ends = looks.week + timedelta(days=7)
    assert (looks.round["look_by"] < ends).all()


def test_covers_that_come_off_are_paid_for_once(looks: Looks, appraised: Appraisal) -> None:
    ground = lay_out_ground(appraised)
    for (hull, group), rows in looks.round.groupby(["hull_id", "access_group"]):
        own = ground.anodes[
            (ground.anodes["hull_id"] == hull) & (ground.anodes["access_group"] == group)
        ].index
        chosen = own[ground.anodes.loc[own, "position"].isin(rows["position"])]
        if rows["days"].nunique() == 1 and len(rows) > 1:
            expected = ground.opens[chosen[0]] + ground.measures[chosen].sum()
            assert rows["cost"].sum() == pytest.approx(expected)


def test_the_manuals_interval_holds_where_the_register_says_that_it_binds(tmp_path: Path) -> None:
    dates = {}
    for binds in (True, False, None):
        fleet = usual_fleet(6)
        for row in fleet.rows["anode_positions"]:
            row |= {"inspect_days": 20.0, "interval_binds": binds}
        for number in range(1, 7):
            hull = f"H{number}"
            fleet.season(hull, "2031-04-02", 50)
            for day, size in (("04-20", 8.8), ("05-20", 8.5)):
                fleet.reading(hull, "pencil", f"2031-{day} 07:00", size)
                fleet.reading(hull, "plate", f"2031-{day} 07:00", 14.9 if day < "05" else 14.7)
        folder = fleet.write(tmp_path / str(binds))
        looks = schedule_looks(appraise(folder, "2031-05-22"))
        dates[binds] = looks.table.set_index(["hull_id", "position"])["look_by"]
        by_manual = looks.table["why"].eq("manual").any()
        assert by_manual == (binds is True)
    # twenty days after the last look on 20 May
    assert (dates[True] <= pd.Timestamp("2031-06-09").date()).all()
    assert (dates[False] > pd.Timestamp("2031-06-09").date()).any()
    assert dates[False].equals(dates[None])


def test_a_surprise_sends_for_the_sisters_at_the_berth_and_for_nobody_else(
    appraised: Appraisal,
) -> None:
    groups, ground = berth_groups(appraised), lay_out_ground(appraised)
    counts = groups["group"].value_counts()
    own = groups[(groups["group"] == counts.index[0])].index[0]
    on = appraised.forecast.on
    surprise = Surprise(own, counts.index[0], outside=False, read_at=on, ratio=2.6)
    calm = latest_looks(appraised, ground, groups, [], frozenset())["odd"]
    latest = latest_looks(appraised, ground, groups, [surprise], frozenset())["odd"]
    group = ground.anodes["hull_id"].map(groups["group"])
    sisters = (group == counts.index[0]) & (ground.anodes["hull_id"] != own)
    assert sisters.any()
    assert (latest[sisters.to_numpy(bool)] <= 0).all()
    assert (latest[(group != counts.index[0]).to_numpy(bool)] == calm[
        (group != counts.index[0]).to_numpy(bool)]).all()  # fmt: skip


def test_a_berth_in_doubt_is_measured_at_the_anodes_that_feel_it_and_nowhere_else(
    appraised: Appraisal,
) -> None:
    groups, ground = berth_groups(appraised), lay_out_ground(appraised)
    group = groups["group"].value_counts().index[0]
    calm = latest_looks(appraised, ground, groups, [], frozenset())["odd"]
    doubted = latest_looks(appraised, ground, groups, [], frozenset({group}))["odd"]
    anodes = ground.anodes.join(groups, on="hull_id")
    feels = (anodes["group"].eq(group) & anodes["afloat"] & anodes["circuit"].eq("hull")).to_numpy()
    assert feels.any()
    since = (appraised.forecast.on - anodes["last_read_at"]).dt.total_seconds() / 86400.0
    long_ago = feels & since.gt(28.0).to_numpy()
    assert (doubted[long_ago] <= 0).all()
    assert (doubted[~feels] == calm[~feels]).all()
    # twice looked at within four weeks settles it
    assert (doubted[feels] <= calm[feels]).all()


def test_an_anode_that_may_not_protect_is_looked_at_when_a_sound_one_would_show_it(
    appraised: Appraisal,
) -> None:
    groups, sure = berth_groups(appraised), lay_out_ground(appraised)
    usual = {"pace_flag": "", "flag": "", "beside_sisters": 1.0}

    def asked(chance: float) -> np.ndarray:
        anodes = sure.anodes.assign(**usual, not_protecting=chance)
        odd = latest_looks(appraised, replace(sure, anodes=anodes), groups, [], frozenset())["odd"]
        return odd.to_numpy(float)

    calm, doubted = asked(0.02), asked(0.3)
    anodes, courses = sure.anodes, sure.courses
    salty = (anodes["hull_id"].map(groups["water"]) != "fresh").to_numpy()
    assert (doubted[~salty] == calm[~salty]).all()
    assert (asked(0.95) == calm).all()  # nothing is left to look for
    since = (appraised.forecast.on - anodes["last_read_at"]).dt.total_seconds() / 86400.0
    only_doubt = salty & np.isinf(calm) & since.notna().to_numpy()
    waits = (doubted + since.to_numpy(float))[only_doubt]
    assert len(waits)
    assert ((waits >= 7.0) & (waits <= TELLING_DAYS)).all()
    for row in np.flatnonzero(only_doubt):
        days = min(doubted[row] + since[row], courses.grid[-1])
        lost = np.interp(days, courses.grid, courses.worn[row]) - courses.worn[row, 0]
        if 7.0 < days < TELLING_DAYS:  # use ahead is not the same every week
            assert 0.6 < lost / (TELLING_ERRORS * courses.error[row]) < 1.6


def test_the_sentinel_of_each_berth_group_is_the_hull_that_was_looked_at_longest_ago(
    appraised: Appraisal,
) -> None:
    groups, ground = berth_groups(appraised), lay_out_ground(appraised)
    chosen = sentinels(ground.anodes, groups, np.ones(len(ground.anodes)))
    anodes = ground.anodes.join(groups, on="hull_id")
    for group, rows in chosen.groupby("group"):
        same = anodes[anodes["group"].eq(group) & anodes["last_read_at"].notna()]
        feels = same[same["afloat"] & (same["circuit"] == "hull")]
        same = feels if len(feels) else same
        read = same.groupby("hull_id")["last_read_at"].max()
        (sentinel,) = set(anodes.loc[rows["row"], "hull_id"])
        assert read[sentinel] == read.min()
        if len(feels):
            assert set(rows["row"]) == set(feels.index[feels["hull_id"] == sentinel])
        turns = max(1.0, LEAST_TURNS / len(read))
        days = (rows["due_at"] - read.max()).dt.total_seconds() / 86400.0
        np.testing.assert_allclose(days, turns * SENTINEL_DAYS[same["water"].iloc[0]])


def test_a_hull_that_moved_is_looked_at_twice_within_weeks(tmp_path: Path) -> None:
    fleet = usual_fleet(6)
    for number in range(1, 7):
        fleet.season(f"H{number}", "2031-04-02", 55)
        for position, size in (("pencil", 8.8), ("plate", 14.9)):
            fleet.reading(f"H{number}", position, "2031-05-10 07:00", size)
    fleet.berth("H1", "B", since="2031-05-15")
    looks = schedule_looks(appraise(fleet.write(tmp_path / "moved"), "2031-05-20"))
    own = looks.table[looks.table["hull_id"] == "H1"]
    assert (own["why"] == "odd").all()
    assert (own["look_by"] <= pd.Timestamp("2031-05-22").date()).all()
    for day, size in (("05-20", 0.1), ("05-27", 0.15)):
        for position, new in (("pencil", 8.8), ("plate", 14.9)):
            fleet.reading("H1", position, f"2031-{day} 07:00", new - size)
    again = schedule_looks(appraise(fleet.write(tmp_path / "read"), "2031-05-28")).table
    assert not (again.loc[again["hull_id"] == "H1", "why"] == "odd").any()
    assert CLOSE_LOOKS == 2


def test_a_position_that_nobody_saw_is_unread_today(tmp_path: Path) -> None:
    fleet = usual_fleet(3).position("collar", "hull", 9.0, 5.6)
    for number in range(1, 4):
        fleet.season(f"H{number}", "2031-04-02", 50)
        fleet.reading(f"H{number}", "pencil", "2031-05-10 07:00", 8.7)
    looks = schedule_looks(appraise(fleet.write(tmp_path), "2031-05-20"))
    collars = looks.table[looks.table["position"] == "collar"]
    assert (collars["why"] == "unread").all()
    assert (collars["look_by"] == pd.Timestamp("2031-05-20").date()).all()
    assert collars["worth"].isna().all()
    assert set(collars["hull_id"]) <= set(looks.round["hull_id"])
