"""Figures say what their tables say, in colours that everybody can tell apart."""

import json

import numpy as np
import pandas as pd
import plotly.graph_objects as go
import pytest
from plotly.colors import sample_colorscale

from corrosion.reports import charts

WEEKS = ["14 Jun", "21 Jun"]


@pytest.fixture
def ahead():
    return pd.DataFrame(
        {
            "hull_id": ["H07", "H07", "H02", "H02"],
            "week": WEEKS * 2,
            "chance": [0.125, 0.995, 0.004, 0.03],
            "hires": [0, 2, 0, 0],
        }
    )


@pytest.fixture
def readings():
    return pd.DataFrame(
        {
            "at": pd.to_datetime(["2031-04-01", "2031-05-01", "2031-05-20"]),
            "low_mm": [8.8, 7.9, 7.0],
            "size_mm": [9.0, 8.1, 7.4],
            "high_mm": [9.2, 8.3, 7.8],
            "kind": ["caliper", "caliper", "by eye"],
        }
    )


@pytest.fixture
def course():
    days = pd.date_range("2031-06-01", periods=5, freq="7D")
    middle = np.linspace(7.2, 5.9, 5)
    return pd.DataFrame(
        {"at": days, "low_mm": middle - 0.3, "size_mm": middle, "high_mm": middle + 0.3}
    )


@pytest.fixture
def marks():
    at = pd.to_datetime(["2031-04-01", "2031-06-14"])
    return pd.DataFrame({"at": at, "label": ["changed", "pull by 14 Jun"]})


def test_every_cell_says_its_chance_and_blanks_what_is_under_one_in_fifty(ahead):
    odds = charts.fleet_ahead(ahead).data[1]
    assert list(odds.text) == ["1 in 8", "over 99<br>in 100", "", "1 in 35"]
    assert odds.customdata[1].tolist() == ["over 99 in 100", 2]
    assert odds.customdata[2].tolist() == ["under 1 in 100", 0]


@pytest.mark.parametrize("palette", [charts.LIGHT, charts.DARK])
def test_odds_can_be_read_on_every_heat_colour(palette):
    # WCAG 2.2, 1.4.3: text 4.5:1
    scale = [list(stop) for stop in palette.heat]
    for share in np.linspace(0.0, 1.0, 201):
        (under,) = sample_colorscale(scale, [share], colortype="tuple")
        ink = _parts(charts.ink(share, palette))
        light, dark = sorted([charts.luminance(under), charts.luminance(ink)], reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def test_the_riskiest_hull_is_on_top(ahead):
    figure = charts.fleet_ahead(ahead)
    assert list(figure.data[0].y) == ["H07", "H02"]
    assert figure.layout.yaxis.autorange == "reversed"


def test_an_anode_shows_its_readings_with_both_ends_of_their_error(readings, course, marks):
    figure = charts.anode_course(readings, course, marks, 6.4, 9.0)
    caliper = next(trace for trace in figure.data if trace.name == "caliper")
    assert list(caliper.y) == [9.0, 8.1]
    assert np.allclose(caliper.error_y.array, 0.2)
    assert np.allclose(caliper.error_y.arrayminus, 0.2)
    assert {"changed", "pull by 14 Jun"} <= {note.text for note in figure.layout.annotations}


def test_the_limit_is_drawn_and_named_with_its_unit(readings, course, marks):
    figure = charts.anode_course(readings, course, marks, 6.4, 9.0)
    assert any(shape.y0 == shape.y1 == 6.4 for shape in figure.layout.shapes)
    assert "limit 6.4 mm" in {note.text for note in figure.layout.annotations}


def test_a_fleet_with_inch_calipers_sees_inches(readings, course, marks):
    figure = charts.anode_course(readings, course, marks, 6.4, 9.0, length_unit="in")
    assert figure.layout.yaxis.title.text == "size, in"
    # 1 inch is 25.4 mm exactly: NIST SP 811 (2008), Appendix B.8
    caliper = next(trace for trace in figure.data if trace.name == "caliper")
    assert np.allclose(caliper.y, np.array([9.0, 8.1]) / 25.4)


def test_an_anode_without_readings_or_forecast_still_shows_its_limit(readings, course, marks):
    figure = charts.anode_course(readings[:0], course[:0], marks[:0], 6.4, 9.0)
    assert figure.layout.shapes[0].y0 == 6.4


def test_the_way_ahead_gets_at_least_a_tenth_of_the_width(readings, course, marks):
    old = readings.assign(at=readings["at"] - pd.Timedelta(days=390))
    figure = charts.anode_course(pd.concat([old, readings]), course, marks, 6.4, 9.0)
    start, end = figure.layout.xaxis.range
    today = course["at"].min()
    assert (end - today) / (end - start) > 0.1
    assert start <= today - pd.Timedelta(days=100)


def test_marks_outside_the_picture_do_not_stretch_it(readings, course, marks):
    far = pd.DataFrame({"at": pd.to_datetime(["2034-06-14"]), "label": ["pull by 14 Jun"]})
    figure = charts.anode_course(readings, course, far, 6.4, 9.0)
    assert "pull by 14 Jun" not in {note.text for note in figure.layout.annotations}


def test_the_forecast_band_closes_on_itself(readings, course, marks):
    band = charts.anode_course(readings, course, marks, 6.4, 9.0).data[0]
    assert band.fill == "toself"
    assert band.x[0] == band.x[-1]


def test_a_clock_that_did_not_run_has_no_panel():
    week = pd.to_datetime(["2031-05-05"] * 2)
    hours = pd.DataFrame({"week": week, "clock": ["running", "afloat"], "hours": [3.0, 0.0]})
    assert len(charts.clock_hours(hours).data) == 1


def test_each_clock_has_its_own_panel_and_its_hours():
    hours = pd.DataFrame(
        {
            "week": pd.to_datetime(["2031-05-05", "2031-05-12"] * 2),
            "clock": ["engine running"] * 2 + ["afloat"] * 2,
            "hours": [11.0, 14.0, 168.0, 150.0],
        }
    )
    figure = charts.clock_hours(hours)
    assert [list(bar.y) for bar in figure.data] == [[11.0, 14.0], [168.0, 150.0]]
    assert figure.data[0].yaxis != figure.data[1].yaxis


def _parts(colour: str) -> tuple[float, ...]:
    return tuple(int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5))


def _luminance(colour: str) -> float:
    return charts.luminance(_parts(colour))


def _contrast(one: str, other: str) -> float:
    light, dark = sorted([_luminance(one), _luminance(other)], reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_worked_out_as_the_standard_says():
    # WCAG 2.2: black on white is 21:1
    assert _contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize(("palette", "page"), [(charts.LIGHT, "#ffffff"), (charts.DARK, "#101820")])
def test_text_has_double_a_contrast_and_marks_three_to_one(palette, page):
    # WCAG 2.2, 1.4.3 (text 4.5:1) and 1.4.11 (graphics 3:1)
    for text in (palette.text, palette.quiet, palette.vermilion):
        assert _contrast(text, page) >= 4.5
    for mark in (palette.blue, palette.sky, palette.plum):
        assert _contrast(mark, page) >= 3.0


@pytest.mark.parametrize("palette", [charts.LIGHT, charts.DARK])
def test_a_higher_chance_is_told_by_brightness_alone_and_is_never_green(palette):
    brightness = [_luminance(colour) for _, colour in palette.heat]
    assert brightness in (sorted(brightness), sorted(brightness, reverse=True))
    for _, colour in palette.heat[1:]:
        red, green = int(colour[1:3], 16), int(colour[3:5], 16)
        assert red > green


def test_a_tag_in_a_name_is_text_on_a_figure_and_ours_are_tags() -> None:
    name = "<a href='//h.example'>H</a>"
    drawn = go.Figure(go.Bar(x=[1], y=[name], customdata=np.array([[name]], object), text=name))
    drawn.add_annotation(text=f"<b>{name}</b>")
    drawn.update_traces(hovertemplate="%{customdata[0]}<extra></extra>")
    shown = json.dumps(json.loads(charts.names_as_text(drawn).to_json()))
    assert "<a" not in shown
    styled = charts.names_as_text(go.Figure(go.Bar(text="<span style=x>")))
    assert styled.data[0].text == "&lt;span style=x>"
    assert "<b>" in json.loads(shown)["layout"]["annotations"][0]["text"]
    assert "<extra></extra>" in shown
    assert drawn.data[0].text == name  # the figure may be kept for others


@pytest.mark.parametrize("palette", [charts.LIGHT, charts.DARK])
def test_the_worst_is_the_fullest_colour_and_never_the_palest(palette) -> None:
    fullness = []
    for _, colour in palette.heat:
        parts = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
        fullness.append((max(parts) - min(parts)) / max(parts))  # saturation, as in HSV
    assert fullness[-1] >= 0.7
    assert fullness[-1] > fullness[0] + 0.3
