"""One hull's papers say what its logs say."""

from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from corrosion.forecast.appraisal import Appraisal, appraise
from corrosion.reports.dossier import Z80, Dossier, dossier, reading_error_mm
from corrosion.reports.headline import next_hires
from tests.fleets import usual_fleet

ON = "2031-06-01"


@pytest.fixture(scope="module")
def appraisal(tmp_path_factory: pytest.TempPathFactory) -> Appraisal:
    fleet = usual_fleet(2).season("H1", "2031-04-02", 58).season("H2", "2031-04-02", 20)
    for day, size_mm in (("04-12", 8.6), ("04-28", 8.0), ("05-14", 7.5)):
        fleet.reading("H1", "pencil", f"2031-{day} 07:00", size_mm)
    fleet.reading("H1", "pencil", "2031-05-20 07:00", size_low_mm=7.0, size_high_mm=7.6)
    fleet.reading("H1", "pencil", "2031-05-21 07:00", verdict="ok")
    fleet.reading("H2", "pencil", "2031-04-20 07:00", 8.9)
    fleet.reading("H2", "pencil", "2031-04-21 07:00", 8.7, entry_id="typo", note="wet hands")
    fleet.reading("H2", "pencil", "2031-04-21 07:00", 8.9, entry_id="right", corrects="typo")
    fleet.berth("H2", "E", since="2031-05-01")
    fleet.booking("H1", "2031-05-31 22:00", "2031-06-01 02:00")
    fleet.booking("H1", "2031-06-05 09:00", "2031-06-05 11:00")
    return appraise(fleet.write(tmp_path_factory.mktemp("fleet")), ON)


@pytest.fixture(scope="module")
def papers(appraisal: Appraisal) -> Dossier:
    paper = dossier(appraisal, "H1")
    assert paper is not None
    return paper


def test_a_hull_that_the_logs_do_not_know_has_no_papers(appraisal: Appraisal) -> None:
    assert dossier(appraisal, "H99") is None


def test_the_berth_is_the_latest_and_the_standing_is_the_hulls_row(appraisal: Appraisal) -> None:
    moved = dossier(appraisal, "H2")
    assert moved is not None
    assert (moved.mooring_id, moved.stays) == ("E", "afloat")
    assert moved.since == pd.Timestamp("2031-05-01", tz="UTC")
    assert moved.standing is not None
    assert moved.standing["hull_id"] == "H2"


def test_a_caliper_reading_carries_the_fitted_error_on_both_sides(
    appraisal: Appraisal, papers: Dossier
) -> None:
    caliper = papers.looks[papers.looks["kind"] == "caliper"]
    assert caliper["size_mm"].tolist() == [8.6, 8.0, 7.5]
    error_mm = Z80 * reading_error_mm(appraisal)
    assert np.allclose(caliper["high_mm"] - caliper["size_mm"], error_mm)
    assert np.allclose(caliper["size_mm"] - caliper["low_mm"], error_mm)


def test_a_look_by_eye_keeps_its_own_range_and_a_verdict_has_no_size(papers: Dossier) -> None:
    by_eye = papers.looks[papers.looks["kind"] == "by eye"].iloc[0]
    assert (by_eye["low_mm"], by_eye["size_mm"], by_eye["high_mm"]) == (7.0, 7.3, 7.6)
    verdict = papers.looks[papers.looks["kind"] == "verdict"].iloc[0]
    assert np.isnan(verdict["size_mm"])
    assert verdict["verdict"] == "ok"


def test_the_way_ahead_starts_where_worn_stands_now(appraisal: Appraisal, papers: Dossier) -> None:
    anode = papers.anodes[papers.anodes["position"] == "pencil"].iloc[0]
    course = papers.courses[papers.courses["position"] == "pencil"]
    now_mm = 9.0 - (9.0 - 6.4) * anode["worn"]
    assert course["size_mm"].iloc[0] == pytest.approx(now_mm)
    assert course["at"].iloc[0] == appraisal.forecast.on
    assert (course["low_mm"] <= course["size_mm"]).all()
    assert (course["size_mm"] <= course["high_mm"]).all()


def test_the_way_ahead_of_an_anode_that_will_wear_out_goes_past_its_limit(papers: Dossier) -> None:
    course = papers.courses[papers.courses["position"] == "pencil"]
    assert course["low_mm"].iloc[-1] < 6.4


def test_a_change_and_a_move_are_marked(appraisal: Appraisal) -> None:
    moved = dossier(appraisal, "H2")
    assert moved is not None
    pencil = moved.marks[moved.marks["position"] == "pencil"]
    assert pencil["label"].tolist() == ["new", "to E"]


def test_the_hours_of_each_clock_are_those_of_the_log(papers: Dossier) -> None:
    by_clock = papers.hours.groupby("clock")["hours"].sum()
    # an outing of 2 h a day, the engine running for nine tenths of it, for 58 days
    assert by_clock["engine running"] == pytest.approx(58 * 1.8)


def test_the_next_hire_is_the_one_a_hull_is_out_on(papers: Dossier, appraisal: Appraisal) -> None:
    assert papers.next_hire == pd.Timestamp("2031-05-31 22:00", tz="UTC")
    later = next_hires(appraisal.checked.bookings, pd.Timestamp("2031-06-02", tz="UTC"))
    assert later["H1"] == pd.Timestamp("2031-06-05 09:00", tz="UTC")
    assert "H2" not in later


def test_a_corrected_entry_stays_in_the_history_with_its_note(appraisal: Appraisal) -> None:
    moved = dossier(appraisal, "H2")
    assert moved is not None
    typo = moved.history[moved.history["entry_id"] == "typo"].iloc[0]
    assert (typo["standing"], typo["what"]) == ("corrected", "pencil: 8.7 mm")
    assert typo["note"] == "wet hands"
    right = moved.history[moved.history["entry_id"] == "right"].iloc[0]
    assert (right["standing"], right["note"]) == ("stands", "")


def test_the_history_is_newest_first_and_says_each_kind_of_entry(papers: Dossier) -> None:
    assert papers.history["at"].is_monotonic_decreasing
    entries = set(papers.history["what"])
    assert "pencil: by eye 7.0 mm to 7.6 mm" in entries
    assert "pencil: looked at, ok" in entries
    assert "pencil: new anode fitted" in entries
    assert "lives at E, afloat" in entries
    assert "back from an outing, engine 1.8 h" in entries


def test_an_entry_that_the_checks_do_not_believe_says_why(tmp_path: Path) -> None:
    fleet = usual_fleet(1).season("H1", "2031-04-02", 30)
    fleet.reading("H1", "pencil", "2031-04-20 07:00", 8.5)
    fleet.reading("H1", "pencil", "2031-04-28 07:00", 700.0)
    paper = dossier(appraise(fleet.write(tmp_path), ON), "H1")
    assert paper is not None
    row = paper.history[paper.history["what"] == "pencil: 700.0 mm"].iloc[0]
    assert row["objection"]


def test_weeks_and_days_ahead_are_counted_by_the_calendar_over_a_clock_change(
    appraisal: Appraisal,
) -> None:
    zone = ZoneInfo("America/New_York")  # clocks went forward on 2031-03-09, go back on 2031-11-02
    settings = replace(appraisal.logbook.settings, timezone=zone)
    logbook = replace(appraisal.logbook, settings=settings)
    there = replace(appraisal, checked=replace(appraisal.checked, logbook=logbook))
    papers = dossier(there, "H1")
    assert papers is not None
    weeks = papers.hours["week"].dt.tz_convert(zone)
    assert weeks.min() == pd.Timestamp("2031-03-08 20:00", tz=zone)
    assert set(weeks.dt.hour) == {20}
    ahead = papers.courses["at"].dt.tz_convert(zone)
    assert ahead.max() > pd.Timestamp("2031-11-03", tz=zone)
    assert set(ahead.dt.hour) == {20}


def test_no_edge_of_the_way_ahead_grows(papers: Dossier) -> None:
    for _, own in papers.courses.groupby("position"):
        for edge in ("low_mm", "size_mm", "high_mm"):
            assert (own[edge].diff().dropna() <= 0).all(), edge


def test_a_course_that_ends_beside_its_looks_is_not_drawn(appraisal: Appraisal) -> None:
    anodes, worn = appraisal.forecast.anodes, appraisal.forecast.worn_mean.copy()
    row = int(np.flatnonzero((anodes["hull_id"] == "H1") & (anodes["position"] == "pencil"))[0])
    drawn = dossier(appraisal, "H1")
    assert drawn is not None
    assert "pencil" in set(drawn.past["position"])
    worn[row] += 0.4  # as where the anode's own looks tell another alloy's wear
    elsewhere = replace(appraisal, forecast=replace(appraisal.forecast, worn_mean=worn))
    paper = dossier(elsewhere, "H1")
    assert paper is not None
    assert "pencil" not in set(paper.past["position"])
