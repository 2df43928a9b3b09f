"""Can it be trusted: the track record and the odd ones, as a visitor sees them."""

import os
import shutil
from pathlib import Path

import pandas as pd
import pytest

from corrosion.common import formatting
from corrosion.forecast.backtest import cache, record_file, track_record
from corrosion.records.method import VERSION
from corrosion.reports import metal_left
from pages._track_record import worst_band
from tests.fleets import FleetLogs, write_log
from tests.pages.reading import Run, Standing, lists, said

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def nothing_kept(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Forecasts already made are kept in a folder of the test's own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("kept")))


def _fleet() -> FleetLogs:
    """Six hulls, two anodes each, looked at every three weeks; one wears 2.6 times as fast."""
    fleet = FleetLogs().mooring("E", "salt").position("pencil", gauge="diameter")
    fleet.position("button", gauge="length").setting(simulated=True, name="Harbour")
    for number in range(8):
        hull, pace = f"H{number}", 2.6 if number == 0 else 1.0
        fleet.hull(hull).berth(hull, "E", "lifted").season(hull, "2031-04-02", 80, flushed=True)
        for position in ("pencil", "button"):
            fleet.fitting(hull, position, "2031-04-01")
            for turn, day in enumerate(pd.date_range("2031-04-15", periods=4, freq="14D")):
                size = 9.0 - pace * 0.2 * (turn + 1)
                fleet.reading(hull, position, f"{day:%Y-%m-%d} 07:00", round(size, 2))
    return fleet


@pytest.fixture
def folder(standing: Standing) -> Path:
    return standing(_fleet())


@pytest.fixture(scope="module")
def worked_out(standing: Standing, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of forecasts already made, once the record of `folder` was worked out."""
    kept = tmp_path_factory.mktemp("worked-out")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(kept))
        track_record(standing(_fleet()))
    return kept


def recall(worked_out: Path) -> None:
    """Let the record be known."""
    shutil.copytree(worked_out, os.environ["XDG_CACHE_HOME"], dirs_exist_ok=True)


# ---- track record --------------------------------------------------------------------------


def test_a_record_that_was_never_worked_out_is_offered_and_not_begun_unasked(
    run: Run, folder: Path
) -> None:
    app = run("record", folder)
    assert not app.exception
    assert "not been worked out yet" in app.markdown[0].value
    assert app.button(key="go_back").label == "Go back and check"


def test_a_press_works_the_record_out_and_shows_said_beside_happened(
    run: Run, folder: Path
) -> None:
    app = run("record", folder)
    app.button(key="go_back").click().run(timeout=200)
    assert not app.exception
    record = track_record(folder)
    assert record.made == 0, "the page kept what it worked out"
    text = said(app)
    assert f"Forecasts of {record.weeks} Mondays" in text
    assert "rule of thumb: half gone" in text
    assert "Cannot be judged" in text
    assert f"method {VERSION}" in text.replace("\\", "")


def test_the_week_says_the_record_in_a_line_once_it_is_known(
    run: Run, worked_out: Path, folder: Path
) -> None:
    assert "How past forecasts did" not in said(run("week", folder))
    recall(worked_out)
    assert "to be worn at their next look" in said(run("week", folder))


# ---- the odd ones --------------------------------------------------------------------------


def test_the_looks_name_a_hull_that_wears_faster_than_its_sisters(run: Run, folder: Path) -> None:
    html = next(html for name, html in lists(run("looks", folder)).items() if " case" in name)
    assert 'data-open="H0"' in html
    assert "qualified marine electrician" in html
    assert "false calls a month" in html


def test_the_hull_says_what_is_odd_about_it_and_its_sister_does_not(run: Run, folder: Path) -> None:
    assert "wears faster than its sisters" in said(run("hull", folder, hull="H0"))
    assert "What is odd here" not in said(run("hull", folder, hull="H3"))


def test_magnesium_in_salt_stops_the_demo_hull_on_every_page(run: Run) -> None:
    app = run("week", None)
    assert any("is of an alloy that does not suit its water" in box.value for box in app.error)
    for page in ("week", "fleet", "hull"):
        boxes = [box.value for box in run(page, None, hull="H02").error]
        assert sum("H02" in value for value in boxes) == 1, "one box, at the head of each page"
        assert not [value for value in boxes if "Stop:" in value or "Stop: do not" in value]


# ---- chemistry -----------------------------------------------------------------------------


def test_the_demos_potentials_are_read_and_every_table_names_its_source(run: Run) -> None:
    app = run("chemistry", None)
    assert not app.exception
    text = said(app)
    assert "asks for a look" in text or "ask for a look" in text
    assert "Pipeline Rules of Thumb Handbook" in text
    assert "common practice, no source" in text
    assert "Venice System" in text


def test_a_reading_that_is_tried_is_explained_at_once(run: Run, folder: Path) -> None:
    app = run("chemistry", folder)
    assert "No potential and no contact resistance is on record" in app.markdown[0].value
    app.number_input(key="mv").set_value(-600.0).run()
    assert "does not reach" in said(app)
    app.selectbox(key="alloy").set_value("magnesium").run()
    assert "magnesium anode" in said(app).replace("\\", "")


# ---- a poor record, other assumptions, the auditor's report --------------------------------


def test_a_record_whose_ranges_were_too_narrow_widens_the_pages_and_says_so(
    run: Run, worked_out: Path, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    caption = f"Days left: 8 times in 10 inside the range. {metal_left.KEY}"
    calm = run("hull", folder, hull="H3")
    recall(worked_out)
    record = track_record(folder)
    assert record.made == 0
    poor = record.judged.assign(low=record.judged["next_worn"] + 0.01)
    poor["high"] = poor["low"] + 0.02
    monkeypatch.setattr("corrosion.forecast.backtest.widening.LEAST_LOOKS", 10)
    recalled = cache.recall(record_file(folder))
    cache.keep(poor.assign(state=recalled["state"].iloc[0], on=record.on), record_file(folder))
    app = run("week", folder)
    assert any("were too narrow" in box.value for box in app.warning)
    widened = run("hull", folder, hull="H3")
    assert lists(widened)[caption] != lists(calm)[caption]
    # one more entry does not undo what the past has shown, and another assumption keeps it
    write_log(folder, "outings", FleetLogs().outing("H3", "2031-06-20 09:00").rows["outings"])
    app = run("hull", folder, hull="H3")
    assert lists(app)[caption] != lists(calm)[caption]


def test_a_switch_shows_which_hulls_faster_wear_would_bring_onto_the_list(
    run: Run, folder: Path
) -> None:
    app = run("fleet", folder)
    assert "would be over the" not in said(app)
    app.toggle(key="worse").set_value(True).run()
    assert not app.exception
    assert "would be over the" in said(app)
    assert any("whose chance moves most" in caption for caption in lists(app))


def test_the_hull_offers_its_report_on_both_papers_and_says_how_it_is_worked_out(
    run: Run, folder: Path
) -> None:
    app = run("hull", folder, hull="H3")
    labels = {button.label for button in app.get("download_button")}
    assert {"Report, A4", "Report, Letter"} <= labels
    assert "**The course** of an anode is carried on from its looks" in said(app)


# ---- headline beside the table ---------------------------------------------------------------


def _band(
    forecast: float, happened: float, looks: int, low: float, high: float
) -> dict[str, float]:
    return {"said": forecast, "found": happened, "worn": round(happened * looks), "looks": looks,
            "forecasts": looks, "low": low, "high": high}  # fmt: skip


def test_the_headline_names_the_band_that_came_true_least_as_the_table_has_it() -> None:
    bands = pd.DataFrame(
        [
            _band(0.02, 0.02, 100, 0.0, 0.07),
            _band(0.4, 0.1, 30, 0.02, 0.27),
            _band(0.8, 0.5, 8, 0.16, 0.84),  # farther off by eye, and within what chance does
            _band(0.9, 0.4, 20, 0.19, 0.64),
        ]
    )
    worst = worst_band.sentence(bands)
    assert worst == (
        f" The worst band: \u201c{formatting.chance(0.9)}\u201d came true in 8 of 20 looks, "
        "40 % of the forecasts that met them."
    )
    assert "No band" in worst_band.sentence(bands.iloc[[0, 2]])
