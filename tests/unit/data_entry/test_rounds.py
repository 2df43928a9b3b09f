"""A round: what it lists, in which order, what the logs say is done, what was skipped and why."""

from pathlib import Path
from urllib.parse import parse_qs

import pandas as pd
import pytest

from corrosion.common import ClockReading
from corrosion.data_entry import (
    Desk,
    Draft,
    Round,
    RoundAddress,
    RoundAnode,
    correction,
    desk_of,
    draft,
    matter,
    read_round,
    rows_as_text,
    scheduled_round,
    striking_out,
    walk_round,
    whole_round,
    write_draft,
)
from corrosion.forecast.appraisal import Appraisal
from corrosion.records import operator
from corrosion.records.checks import check_logs
from corrosion.records.logbook import read_fleet
from corrosion.workshop.looks import schedule_looks
from tests.fleets import FleetLogs

NOW = pd.Timestamp("2031-06-02 12:00", tz="UTC")
MINUTE = pd.Timedelta(minutes=1)
BEGUN = RoundAddress("E", NOW, "all")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two pontoons at E, one hull elsewhere, one sold; a cover that bares two anodes at once."""
    logs = FleetLogs().setting(timezone="Europe/Lisbon").mooring("E").mooring("L", "fresh")
    logs.position("pencil", access_group="cowl", access_minutes=4.0)
    logs.position("bar", "hull", access_group="tilt", access_minutes=9.0)
    logs.position("plate", access_group="cowl", access_minutes=4.0)
    for hull_id, mooring, pontoon in (("H1", "E", "B"), ("H2", "E", "A"), ("H3", "L", "A")):
        logs.hull(hull_id, in_service="2031-04-01").berth(hull_id, mooring, pontoon=pontoon)
    logs.hull("H4", in_service="2031-04-01", retired="2031-05-01").berth("H4", "E", pontoon="A")
    logs.season("H1", "2031-05-01", 20).reading("H1", "pencil", "2031-05-20 08:00", 8.0)
    return logs.write(tmp_path)


def sit(folder: Path, at: pd.Timestamp = NOW) -> Desk:
    return desk_of(check_logs(read_fleet(folder, at)), None, at)


def enter(
    folder: Path, at: pd.Timestamp, hull_id: str, position: str, read_at: pd.Timestamp = NOW
) -> str:
    filled = {"hull_id": hull_id, "position": position, "at": ClockReading(read_at), "size": "8"}
    made = draft("reading", filled, sit(folder, at))
    assert not made.wrong
    name = f"{hull_id} {position} {at}"
    write_draft(folder, made, operator("dock"), name, at)
    return name


def walked(folder: Path, minutes: int = 9, address: RoundAddress = BEGUN) -> Round:
    desk = sit(folder, NOW + minutes * MINUTE)
    return walk_round(whole_round(desk, "E", NOW), desk, address)


def mend(desk: Desk, row: pd.Series) -> Draft:
    texts = rows_as_text(desk, "readings", row) | {"size_mm": "7.9"}
    return correction(desk.logbook, "readings", row, texts)


def named(anodes: tuple[RoundAnode, ...]) -> list[str]:
    return [f"{anode.hull_id} {anode.position}" for anode in anodes]


def test_a_whole_round_walks_berth_after_berth_and_opens_each_cover_once(folder: Path) -> None:
    begun = walked(folder, 0)
    hulls = ("H2", "H1")  # pontoon A before B; H4 is sold, H3 lies elsewhere
    assert named(begun.anodes) == [f"{h} {p}" for h in hulls for p in ("pencil", "plate", "bar")]
    assert [anode.berth for anode in begun.anodes] == ["A"] * 3 + ["B"] * 3
    assert begun.left == begun.anodes
    assert not begun.done


def test_the_round_of_the_week_is_the_walk_of_the_schedule(answer: Appraisal) -> None:
    looks = schedule_looks(answer)
    assert len(looks.round)
    for mooring_id, own in looks.round.groupby("mooring_id"):
        listed = scheduled_round(looks, str(mooring_id))
        assert listed["hull_id"].tolist() == own["hull_id"].tolist()
        assert listed["position"].tolist() == own["position"].tolist()
    assert scheduled_round(looks, "nowhere").empty


def test_what_was_entered_since_the_round_began_is_done_and_the_next_has_its_turn(
    folder: Path,
) -> None:
    enter(folder, NOW + MINUTE, "H2", "pencil")
    enter(folder, NOW + 2 * MINUTE, "H1", "plate")
    walk = walked(folder)
    assert [named((each.anode,))[0] for each in walk.done] == ["H2 pencil", "H1 plate"]
    assert walk.turn == RoundAnode("H2", "plate", "A")
    assert len(walk.left) == 4


@pytest.mark.slow
def test_a_look_entered_before_the_round_or_long_past_is_not_of_it(folder: Path) -> None:
    enter(folder, NOW - MINUTE, "H2", "pencil", NOW - 2 * MINUTE)
    enter(folder, NOW + MINUTE, "H2", "bar", NOW - pd.Timedelta(days=8))
    assert not walked(folder).done
    # a sheet that was filled in yesterday is typed today
    enter(folder, NOW + 2 * MINUTE, "H2", "plate", NOW - pd.Timedelta(days=1))
    assert named(tuple(each.anode for each in walked(folder).done)) == ["H2 plate"]


@pytest.mark.slow
def test_a_look_that_was_struck_out_is_open_again_and_a_corrected_one_stays_done(
    folder: Path,
) -> None:
    names = [enter(folder, NOW + n * MINUTE, "H2", p) for n, p in ((1, "pencil"), (2, "bar"))]
    desk = sit(folder, NOW + 3 * MINUTE)
    rows = [matter(desk.logbook, "readings", name).iloc[0] for name in names]
    struck = striking_out("readings", rows[0], "wrong hull")
    write_draft(folder, struck, operator("dock"), "struck", desk.now)
    mended = mend(desk, rows[1])
    write_draft(folder, mended, operator("dock"), "mended", desk.now)
    assert named(tuple(each.anode for each in walked(folder).done)) == ["H2 bar"]


def test_a_correction_of_an_older_look_makes_nothing_done(folder: Path) -> None:
    name = enter(folder, NOW - MINUTE, "H2", "pencil", NOW - 2 * MINUTE)
    desk = sit(folder, NOW + MINUTE)
    row = matter(desk.logbook, "readings", name).iloc[0]
    mended = mend(desk, row)
    write_draft(folder, mended, operator("dock"), "mended", desk.now)
    assert not walked(folder).done


@pytest.mark.slow
def test_what_is_skipped_keeps_its_reason_until_it_is_read_or_taken_up_again(folder: Path) -> None:
    first = walked(folder)
    hull = first.goes_with(first.left[0], "hire")
    assert named(hull) == ["H2 pencil", "H2 plate", "H2 bar"]
    assert first.goes_with(first.left[0], "reach") == first.left[:1]
    address = BEGUN.skipping(hull, "hire").skipping(first.left[3:4], "reach")
    walk = walked(folder, address=address)
    assert walk.turn == RoundAnode("H1", "plate", "B")
    assert walk.skipped_hulls() == [("H2", "hire", hull), ("H1", "reach", first.left[3:4])]
    enter(folder, NOW + MINUTE, "H2", "bar")
    again = walked(folder, address=address.back_to(hull[:1]))
    assert again.turn == hull[0]
    assert named(tuple(anode for anode, _ in again.skipped)) == ["H2 plate", "H1 pencil"]
    assert len(again.done) == 1


@pytest.mark.parametrize("hull_id", ["H1", "a/b", "50 % & more=1", "Fähre #2+3"])
def test_an_address_brings_back_the_round_whatever_the_names(hull_id: str) -> None:
    address = RoundAddress(f"at {hull_id}", NOW + pd.Timedelta(microseconds=7), "week")
    address = address.skipping([RoundAnode(hull_id, "p/1")], "locked")
    assert read_round(parse_qs(address.text()), NOW + MINUTE) == address


@pytest.mark.parametrize("since", ["", "soon", "NaT", "2099-01-01", "9" * 40, "2031-06-31"])
def test_a_beginning_that_is_none_or_lies_ahead_is_now(since: str) -> None:
    read = read_round({"round": ["E"], "since": [since], "skip": ["H1/a", "H1/a/whim", ""]}, NOW)
    assert read == RoundAddress("E", NOW)
    assert read_round({"since": ["2031-06-01"]}, NOW) is None


def test_a_form_belongs_to_round_anode_and_attempt() -> None:
    later = RoundAddress("E", NOW + MINUTE, "all")
    anodes = RoundAnode("H1", "a"), RoundAnode("H1", "b")
    forms = {a.form_of(anode, n) for a in (BEGUN, later) for anode in anodes for n in (0, 1)}
    assert len(forms) == 8
    skipped = BEGUN.skipping(anodes[1:], "reach")
    assert skipped.form_of(anodes[0], 0) == BEGUN.form_of(anodes[0], 0)


def test_a_place_that_left_the_register_is_left_out(folder: Path) -> None:
    desk = sit(folder)
    listed = pd.DataFrame([("H2", "gone", ""), ("H9", "pencil", ""), ("H2", "bar", "")],
                          columns=["hull_id", "position", "berth"])  # fmt: skip
    assert named(walk_round(listed, desk, BEGUN).anodes) == ["H2 bar"]
