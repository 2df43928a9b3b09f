"""Writing down what was done or seen, as dock staff do it on a phone."""

import errno
import os
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs
from tests.pages.reading import DEMO, Run, Standing, said

pytestmark = pytest.mark.slow

PAGE = "pages/log_book.py"


@pytest.fixture
def folder(worn_fleet: FleetLogs, standing: Standing) -> Path:
    """A simulated fleet, whose forms are filled at its own last moment."""
    return standing(worn_fleet.setting(simulated=True))


def press(app: AppTest, label: str) -> AppTest:
    button = next(button for button in app.button if button.label.startswith(label))
    return button.click().run()


def type_in(app: AppTest, label: str, text: str) -> None:
    next(field for field in app.text_input if field.label.startswith(label)).set_value(text)


def told(app: AppTest) -> str:
    """Every word on the page, as it is shown."""
    return said(app).replace("\\", "")


def readings(folder: Path) -> pd.DataFrame:
    rows = read_fleet(folder).readings
    return rows[rows["entered_at"].notna()].reset_index(drop=True)


def test_a_reading_is_written_with_role_moment_and_what_was_typed(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1")
    assert not app.exception
    type_in(app, "Size, mm", "6,65")
    press(app, "Write it down")
    assert not app.exception
    row = readings(folder).iloc[0]
    assert (row["hull_id"], row["position"], row["size_mm"]) == ("H1", "pencil", 6.65)
    assert row["as_typed"] == "Size 6,65 mm"
    assert row["entered_by"] == "dock, early shift"
    assert app.success[0].value.replace("\\", "").startswith("Written: H1 pencil")
    assert "**H1** pencil: 6.65 mm" in told(app)


def test_after_one_anode_the_next_one_is_chosen(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "6.65")
    press(app, "Write it down")
    assert not [field for field in app.text_input if field.label.startswith("Size")]
    press(app, "Next anode")
    anode = next(group for group in app.get("button_group") if group.label == "Anode")
    assert anode.value == "plate"


def test_an_inch_is_asked_about_and_written_only_after_the_answer(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "0.262")
    press(app, "Write it down")
    assert readings(folder).empty
    press(app, "Inches")
    assert not app.exception
    # 1 inch is 25.4 mm exactly: NIST SP 811 (2008), Appendix B.8
    assert readings(folder)["size_mm"].tolist() == [round(0.262 * 25.4, 4)]


def test_what_cannot_be_read_is_said_and_stays_in_the_form(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "six")
    press(app, "Write it down")
    assert "is no number" in app.error[0].value
    assert "six" in [field.value for field in app.text_input]
    assert readings(folder).empty


def test_a_folder_that_takes_no_rows_keeps_what_was_typed_also_for_a_page_loaded_again(
    run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "6.65")

    def full(_file: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as while_full:
        while_full.setattr(os, "fsync", full)
        press(app, "Write it down")
    assert "Not written" in app.error[0].value
    assert "6.65" in [field.value for field in app.text_input]
    form = app.query_params["form"]
    again = run("book", folder, hull="H1", form=form if isinstance(form, str) else form[0])
    assert "6.65" in [field.value for field in again.text_input]
    press(again, "Write it down")
    assert readings(folder)["size_mm"].tolist() == [6.65]


@pytest.mark.parametrize(
    ("kind", "typed", "log", "cell", "value"),
    [
        ("outing", {"Engine hours": "1,6"}, "outings", "engine_hours", 1.6),
        ("flush", {"Minutes": "7"}, "flushes", "minutes", 7.0),
        ("berth", {}, "berths", "mooring_id", "E"),
        ("water", {"Temperature": "17,5"}, "water_samples", "temperature_c", 17.5),
        ("hire", {"Engine hours": "1.5"}, "bookings", "engine_hours", 1.5),
        ("engine", {"Engine that": "two"}, "engine_swaps", "engine", "two"),
    ],
)
def test_each_form_writes_its_row(
    run: Run, folder: Path, kind: str, typed: dict[str, str], log: str, cell: str, value: object
) -> None:
    app = run("book", folder, hull="H1", kind=kind)
    for label, text in typed.items():
        type_in(app, label, text)
    press(app, "Write it down")
    assert not app.exception
    assert not app.error
    rows = read_fleet(folder).tables[log]
    written = rows[rows["entered_at"].notna()]
    assert written[cell].tolist() == [value]


def test_a_move_into_another_water_asks_for_a_look(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1", kind="berth")
    next(box for box in app.selectbox if box.label == "Moves to").set_value("L")
    press(app, "Write it down")
    while any(button.label == "It is right as typed" for button in app.button):
        press(app, "It is right as typed")
    said_so = app.success[0].value.replace("\\", "")
    assert "from salt to fresh water: look at its anodes" in said_so


def test_cautions_stand_in_the_forms(run: Run, folder: Path) -> None:
    assert "carbon monoxide" in told(run("book", folder, hull="H1", kind="flush"))
    assert "key and lanyard out" in told(run("book", folder, hull="H1"))


def test_nothing_is_written_into_the_demo_but_into_a_copy_of_it(run: Run) -> None:
    before = sorted(path for path in DEMO.rglob("*"))
    app = run("book", None, hull="H07")
    assert [button.label for button in app.button] == ["Practise on a copy"]
    press(app, "Practise on a copy")
    type_in(app, "Size, mm", "8.2")
    press(app, "Write it down")
    assert not app.exception
    assert app.success
    assert "a copy to practise on" in told(app)
    assert sorted(path for path in DEMO.rglob("*")) == before


def test_a_row_is_corrected_from_its_address_and_its_history_is_shown(
    run: Run, folder: Path
) -> None:
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "6.65")
    press(app, "Write it down")
    press(app, "Correct")
    assert "Correct an entry" in told(app)
    type_in(app, "Size by caliper", "6.7")
    press(app, "Write the correction")
    assert not app.exception
    assert readings(folder)["size_mm"].tolist() == [6.7]
    assert "corrected later" in told(app)


def test_a_row_is_struck_out_with_a_reason(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "6.65")
    press(app, "Write it down")
    press(app, "Strike out")
    type_in(app, "Why", "wrong hull")
    press(app, "Strike the row out")
    assert not app.exception
    assert readings(folder).empty
    assert "struck out" in told(app)


def test_any_older_entry_of_the_hull_can_be_opened(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1")
    app.selectbox(key="older_H1").set_value(3).run()
    press(app, "Open it")
    assert not app.exception
    assert "Correct an entry" in told(app)


def test_an_inch_row_of_an_old_file_is_mended_with_one_press(
    run: Run, worn_fleet: FleetLogs, standing: Standing
) -> None:
    worn_fleet.reading("H1", "pencil", "2031-05-30 07:00", 0.262, entry_id="old")
    folder = standing(worn_fleet.setting(simulated=True))
    app = run("book", folder, correct="readings/old")
    press(app, "Inches")
    assert not app.exception
    assert readings(folder)["corrects"].tolist() == ["old"]
    assert readings(folder)["size_mm"].tolist() == [round(0.262 * 25.4, 4)]


def test_a_hull_or_a_row_that_is_not_there_is_said(run: Run, folder: Path) -> None:
    assert "no hull H99" in run("book", folder, hull="H99").warning[0].value
    assert "no such row" in run("book", folder, correct="readings/none").warning[0].value
    assert "no such row" in run("book", folder, correct="nonsense").warning[0].value


def test_a_thin_fleet_without_a_forecast_can_be_written(run: Run, standing: Standing) -> None:
    fleet = FleetLogs().setting(simulated=True).mooring("E").position("pencil")
    folder = standing(fleet.hull("H1").berth("H1", "E"))
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "8.8")
    press(app, "Write it down")
    assert not app.exception
    assert readings(folder)["size_mm"].tolist() == [8.8]


def test_a_damaged_fleet_says_what_to_do(run: Run, folder: Path) -> None:
    (folder / "outings" / "torn.parquet").write_bytes(b"PAR1 torn")
    app = run("book", folder, hull="H1")
    assert not app.exception
    assert "torn.parquet" in told(app)


def test_a_reading_at_its_limit_alarms_until_it_is_told(run: Run, folder: Path) -> None:
    app = run("book", folder, hull="H1")
    type_in(app, "Size, mm", "6.4")  # the register's limit
    press(app, "Write it down")
    while any(button.label == "It is right as typed" for button in app.button):
        press(app, "It is right as typed")
    assert readings(folder)["size_mm"].tolist() == [6.4]
    assert "is at its limit: 6.4 mm" in app.error[0].value.replace("\\", "")
    assert "Keep the hull in and tell the workshop" in app.error[0].value.replace("\\", "")
    assert not app.success
    press(app, "Next anode")
    assert "is at its limit" in app.error[0].value
    press(app, "It is told")
    assert not app.error
