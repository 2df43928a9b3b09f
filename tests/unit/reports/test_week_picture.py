"""The picture of a week: whom it shows where it cannot show all, and labels that stay readable."""

import re
from datetime import date
from pathlib import Path

import pytest

from corrosion.forecast.appraisal import appraise
from corrosion.reports.week_papers import bay_days
from corrosion.reports.week_picture.drawing import draw_week
from corrosion.reports.week_picture.lanes import MOST_HULLS, Bar, Lane, WeekLanes, week_lanes
from corrosion.workshop.plan import make_plan
from tests.fleets import FleetLogs

pytestmark = pytest.mark.slow


def _crowded_fleet() -> FleetLogs:
    """Twenty hulls near their limit at A, and two past it at Z, the last mooring of all."""
    fleet = FleetLogs().mooring("A", "salt").mooring("Z", "salt").position("pencil")
    for number in range(MOST_HULLS + 6):
        hull, last = f"H{number:02d}", number >= MOST_HULLS + 4
        fleet.hull(hull).berth(hull, "Z" if last else "A", "lifted")
        fleet.fitting(hull, "pencil", "2031-04-01").season(hull, "2031-04-02", 58, flushed=True)
        lost_mm = 2.9 if last else 2.45
        for day, share in (("2031-04-20", 0.4), ("2031-05-10", 0.75), ("2031-05-30", 1.0)):
            fleet.reading(hull, "pencil", f"{day} 07:00", round(9.0 - share * lost_mm, 2))
    return fleet


def test_stopped_hulls_of_the_last_mooring_are_drawn_though_the_fleet_is_larger_than_the_picture(
    tmp_path: Path,
) -> None:
    appraisal = appraise(_crowded_fleet().write(tmp_path), "2031-06-01")
    hulls = appraisal.forecast.hulls
    stopped = set(hulls.loc[hulls["stop"] != "", "hull_id"])
    last = {f"H{MOST_HULLS + 4:02d}", f"H{MOST_HULLS + 5:02d}"}
    assert last <= stopped
    plan = make_plan(appraisal)
    week = week_lanes(plan, bay_days(plan, appraisal.logbook), appraisal)
    shown = {lane.hull_id for lane in week.lanes}
    assert week.left_away > 0, "the fleet is larger than the picture"
    assert len(shown) == MOST_HULLS
    assert last <= shown
    svg = draw_week(week, {hull_id: f"hull?hull={hull_id}" for hull_id in shown})
    assert all(f"▲ {hull_id}" in svg for hull_id in last)
    assert svg.index("H00") < min(svg.index(hull_id) for hull_id in last), "by mooring, down"


def _drawn(*bars: Bar) -> str:
    lane = Lane("H16", "A", False, bars)
    return draw_week(WeekLanes(date(2031, 6, 16), (lane,), {}, 0.0, 0), {"H16": "hull?hull=H16"})


def test_a_label_that_is_wider_than_its_bar_stands_behind_it() -> None:
    svg = _drawn(Bar("moved-here", 35.5, 37.0, "from H13", "hire moved here from H13"))
    svg = svg.partition('<svg class="week narrow"')[0]
    bar = re.search(r'<rect class="came" x="([\d.]+)"[^>]* width="([\d.]+)"', svg)
    label = re.search(r'<text x="([\d.]+)"[^>]*>from H13<', svg)
    assert bar
    assert label
    assert float(label[1]) >= float(bar[1]) + float(bar[2])


def test_a_label_without_room_behind_or_before_its_bar_is_left_to_its_title() -> None:
    hires = [Bar("hire", 24 + h, 25.5 + h, "", "hire") for h in (9.0, 13.0)]
    svg = _drawn(hires[0], Bar("moved-here", 35.0, 36.5, "from H13", "moved here"), hires[1])
    assert ">from H13<" not in svg
    assert "<title>moved here</title>" in svg


def _on_a_phone(*bars: Bar, stopped: bool = False, hull_id: str = "H16") -> str:
    lane = Lane(hull_id, "A", stopped, bars)
    week = WeekLanes(date(2031, 6, 16), (lane,), {}, 30.0, 0)
    drawn = draw_week(week, {hull_id: "hull"})
    return drawn.partition('<svg class="week narrow"')[2].partition("</svg>")[0]


def test_a_phone_has_the_same_bars_in_its_own_width_and_their_words_beside_the_name() -> None:
    visit = Bar("visit", 36.0, 38.0, "2", "out at Tue 17 Jun 2031, 12:00, bay 2")
    due = Bar("pull-by", 24.0, 48.0, "", "pull by 2031-06-17")
    svg = _on_a_phone(due, visit, Bar("moved-away", 60.0, 62.0, "to H03", ""), stopped=True)
    words = re.sub(r"<[^>]+>", "", svg)
    assert "▲ H16 not for hire, out Tue, bay 2, hire to H03" in words
    width = re.search(r'viewBox="0 0 (\d+) ', svg)
    bar = re.search(r'<rect class="visit" x="([\d.]+)"', svg)
    assert width
    assert bar
    assert int(width[1]) <= 390 - 32, "a phone's width less its margins"
    # Tuesday 12:00 of days that are drawn from 8 to 18: four tenths into the second of seven
    assert float(bar[1]) == pytest.approx(1.4 * int(width[1]) / 7, rel=0.01)


def test_words_that_do_not_fit_beside_a_name_are_left_to_the_list_under_the_picture() -> None:
    bars = [
        Bar("moved-away", 24.0 * n + 9, 24.0 * n + 11, f"to HULL-{n:03d}", "") for n in range(6)
    ]
    svg = _on_a_phone(*bars, hull_id="HULL-0123")
    words = re.sub(r"<[^>]+>", " ", svg)
    assert "hire to HULL-000" in words
    assert "HULL-005" not in words
    assert "…" in words
