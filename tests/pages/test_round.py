"""A round on the log book: one anode after the other, skipped, gone back to, gone on with."""

from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from corrosion.data_entry import RoundAddress
from corrosion.forecast.appraisal import appraise
from corrosion.records.logbook import read_fleet
from corrosion.workshop.looks import schedule_looks
from corrosion.workshop.plan import make_plan
from pages._log_book import walk
from pages._shared import cached_answers
from tests.fleets import FleetLogs, usual_fleet
from tests.pages.reading import Run, Standing, said

pytestmark = pytest.mark.slow


@pytest.fixture
def folder(standing: Standing) -> Path:
    """Two hulls at E, of which nobody ever read anything."""
    logs = usual_fleet(1).setting(simulated=True, timezone="Europe/Lisbon")
    logs.hull("H7").berth("H7", "E").season("H1", "2031-05-01", 3)
    return standing(logs)


def press(app: AppTest, label: str) -> AppTest:
    return next(button for button in app.button if button.label.startswith(label)).click().run()


def labels(app: AppTest) -> list[str]:
    return [button.label for button in app.button]


def write(app: AppTest, size: str) -> AppTest:
    next(field for field in app.text_input if field.label == "Size, mm").set_value(size)
    press(app, "Write it down")
    assert not app.exception
    return app


def turn(app: AppTest) -> str:
    return next(m.value for m in app.markdown if m.value.startswith("### ")).removeprefix("### ")


def progress(app: AppTest) -> str:
    return str(app.get("progress")[0].proto.text).split(";")[0]


def readings(folder: Path) -> pd.DataFrame:
    rows = read_fleet(folder).readings
    return rows[rows["entered_at"].notna()].sort_values("entered_at", ignore_index=True)


def told(app: AppTest) -> str:
    return "\n".join([said(app), *(green.value for green in app.success)]).replace("\\", "")


def begin(run: Run, folder: Path, **address: str) -> AppTest:
    return run("book", folder, **({"round": "E", "list": "all"} | address))


def test_a_round_walks_three_anodes_skips_one_and_comes_back_to_it(run: Run, folder: Path) -> None:
    app = begin(run, folder)
    assert not app.exception
    assert (turn(app), progress(app)) == ("H1 pencil", "0 of 4 done")
    write(app, "8,2")
    assert "Written: H1 pencil" in told(app)
    assert (turn(app), progress(app)) == ("H1 plate", "1 of 4 done")
    press(app, "H1 plate can't be reached")
    assert (turn(app), progress(app)) == ("H7 pencil", "1 of 4 done, 1 skipped")
    write(app, "8.1")
    write(app, "14")
    assert progress(app) == "3 of 4 done, 1 skipped"
    assert "**H1** plate: can't be reached" in told(app)
    assert "Write it down" not in labels(app)
    press(app, "Go back to H1: plate")
    assert turn(app) == "H1 plate"
    write(app, "14.2")
    assert progress(app) == "4 of 4 done"
    read = readings(folder)
    assert read[["hull_id", "position", "size_mm"]].to_numpy().tolist() == [
        ["H1", "pencil", 8.2], ["H7", "pencil", 8.1], ["H7", "plate", 14.0], ["H1", "plate", 14.2]
    ]  # fmt: skip
    press(app, "End the round")
    assert "round" not in app.query_params
    assert "Go on with" not in " ".join(labels(app))


def test_a_hull_out_on_hire_is_skipped_whole(run: Run, folder: Path) -> None:
    app = press(begin(run, folder), "H1 out on hire")
    assert (turn(app), progress(app)) == ("H7 pencil", "0 of 4 done, 2 skipped")
    assert readings(folder).empty


def test_a_round_that_was_left_is_gone_on_with_from_its_address_and_from_the_log_book(
    run: Run, folder: Path
) -> None:
    app = press(write(begin(run, folder), "8.2"), "H1 plate can't be reached")
    address = {name: str(app.query_params[name]) for name in ("round", "list", "since", "skip")}
    again = run("book", folder, **address)  # another session: as loaded again
    assert not again.exception
    assert (turn(again), progress(again)) == ("H7 pencil", "1 of 4 done, 1 skipped")
    assert "Written last in this round: H1 pencil" in told(again)
    press(app, "Stop here")
    assert "round" not in app.query_params
    press(app, "Go on with the round at E")
    assert (turn(app), progress(app)) == ("H7 pencil", "1 of 4 done, 1 skipped")


def test_an_alarm_stands_above_the_next_anode_until_it_is_told(run: Run, folder: Path) -> None:
    app = write(begin(run, folder), "6.3")
    press(app, "Right, measured twice")
    assert turn(app) == "H1 plate"
    assert "H1 pencil is past its limit" in told(app)
    press(app, "It is told")
    assert "H1 pencil is past its limit" not in told(app)


def test_a_slip_is_asked_about_before_the_round_goes_on(run: Run, folder: Path) -> None:
    app = write(begin(run, folder), "0.32")
    assert turn(app) == "H1 pencil"
    assert readings(folder).empty
    press(app, "Inches")
    assert turn(app) == "H1 plate"
    assert readings(folder)["size_mm"].tolist() == [round(0.32 * 25.4, 4)]


def test_an_anode_whose_reading_was_struck_out_has_its_turn_again_under_a_new_name(
    run: Run, folder: Path
) -> None:
    app = write(begin(run, folder), "8.2")
    press(app, "Strike out")
    next(field for field in app.text_input if field.label == "Why").set_value("wrong hull")
    press(app, "Strike the row out")
    assert (turn(app), progress(app)) == ("H1 pencil", "0 of 4 done")
    write(app, "8.3")
    assert progress(app) == "1 of 4 done"
    assert readings(folder)["size_mm"].tolist() == [8.3]


def test_without_a_schedule_every_anode_is_offered(run: Run, standing: Standing) -> None:
    logs = FleetLogs().setting(simulated=True, timezone="Europe/Lisbon").mooring("E")
    logs.position("pencil").hull("H1").berth("H1", "E").season("H1", "2031-05-01", 3)
    app = begin(run, standing(logs), list="week")
    assert not app.exception
    assert "can't be worked out" in told(app)
    press(app, "Walk every anode of every hull at E")
    assert (turn(app), progress(app)) == ("H1 pencil", "0 of 1 done")
    assert progress(write(app, "8.5")) == "1 of 1 done"


def test_the_round_of_the_week_is_that_of_the_page_looks_and_stays_as_it_was(
    run: Run, standing: Standing, worn_fleet: FleetLogs
) -> None:
    worn_fleet.hull("H4").berth("H4", "E")  # nobody ever looked at it
    folder = standing(worn_fleet.setting(simulated=True))
    appraisal = appraise(folder)
    looks = schedule_looks(appraisal, make_plan(appraisal)).round
    mooring = str(looks["mooring_id"].iloc[0])
    own = looks[looks["mooring_id"] == mooring]
    app = run("book", folder, round=mooring)
    assert not app.exception
    assert progress(app) == f"0 of {len(own)} done"
    assert turn(app) == f"{own['hull_id'].iloc[0]} {own['position'].iloc[0]}"
    write(app, "8.5")
    assert progress(app) == f"1 of {len(own)} done"
    turn_before = turn(app)
    cached_answers._looks_when.clear()  # as in a server that was started again meanwhile
    app.run()
    assert not app.exception
    assert (turn(app), progress(app)) == (turn_before, f"1 of {len(own)} done")


def test_looks_leads_to_the_round_of_each_mooring(
    run: Run, standing: Standing, worn_fleet: FleetLogs
) -> None:
    worn_fleet.hull("H4").berth("H4", "E")  # nobody ever looked at it
    app = run("looks", standing(worn_fleet.setting(simulated=True)))
    assert not app.exception
    links = [link.proto for link in app.get("page_link")]
    queries = [link.query_string for link in links if link.label == "Enter this round on a phone"]
    assert len(queries) == len([s for s in app.subheader if s.value.endswith(" min")])
    assert all(query.startswith("round=") for query in queries)
    assert queries


def test_a_round_at_no_mooring_and_a_hostile_address_get_a_page(run: Run, folder: Path) -> None:
    for address in ({"round": "nowhere"}, {"round": "E", "since": "x", "skip": "a/b/c/d"}):
        assert not begin(run, folder, **address).exception


def test_a_round_of_another_week_is_not_gone_on_with(
    run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = read_fleet(folder).on
    for days, goes_on in ((6, True), (8, False)):
        address = RoundAddress("E", now - pd.Timedelta(days=days), "all").text()
        remembered = {walk.UNDER_WAY: address}
        monkeypatch.setattr(walk.phone, "remembered", lambda what, r=remembered: r.get(what, ""))
        app = run("book", folder)
        assert ("Go on with the round at E" in " ".join(labels(app))) is goes_on
