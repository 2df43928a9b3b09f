"""Taking a file in on the page, and everything out."""

import io
import zipfile
from pathlib import Path

import pandas as pd
import pytest

from corrosion.records.export import export_zip
from corrosion.records.logbook import read_fleet
from tests.fleets import FleetLogs
from tests.pages.reading import Run, Standing
from tests.pages.test_log_book import press, told

pytestmark = pytest.mark.slow

FILE = (
    "Boat;Anode;Date;Caliper (in)\n"
    "H1;pencil;29.05.2031 07:00;0,264\n"
    "H2;pencil;29.05.2031 07:00;0,31\n"
    "H3;pencil;soon;0,35\n"
)


@pytest.fixture
def folder(worn_fleet: FleetLogs, standing: Standing) -> Path:
    return standing(worn_fleet.setting(simulated=True))


def test_a_file_is_previewed_tried_and_taken_and_a_second_time_adds_nothing(
    run: Run, folder: Path
) -> None:
    before = len(read_fleet(folder).readings)
    app = run("moving", folder)
    app.file_uploader[0].upload("readings.csv", FILE.encode(), "text/csv").run()
    assert not app.exception
    headings = {"The hull": "Boat", "The place": "Anode", "When": "Date", "Size by": "Caliper (in)"}
    for label, heading in headings.items():
        box = next(box for box in app.selectbox if box.label.startswith(label))
        box.set_value(heading)
    app.run()
    assert "2 rows would be taken" in told(app)
    assert "1 are set aside" in told(app)
    assert "line 4, H3: Date is no time (soon)" in told(app)
    press(app, "Take these rows")
    assert not app.exception
    rows = read_fleet(folder).readings
    assert len(rows) == before + 2
    # 1 inch is 25.4 mm exactly: NIST SP 811 (2008), Appendix B.8
    assert round(0.264 * 25.4, 4) in rows["size_mm"].round(4).tolist()
    assert len(list(folder.glob("readings-set-aside-*.csv"))) == 1
    assert "0 rows would be taken" in told(app.run())


def test_rows_that_would_not_be_believed_are_told_before_they_are_taken(
    run: Run, folder: Path
) -> None:
    sizes = ("6.65", "0.26", "8.05")
    lines = [f"H{n},pencil,2031-05-29 07:0{n},{size}" for n, size in enumerate(sizes, 1)]
    text = "\n".join(["hull_id,position,read_at,size_mm", *lines])
    app = run("moving", folder)
    app.file_uploader[0].upload("readings.csv", text.encode(), "text/csv").run()
    assert not app.exception
    for question in app.radio:
        question.set_value(question.options[0])
    app.run()
    assert "1 row, inch-for-mm (set-aside): line 3, H2" in app.warning[0].value


def test_a_file_whose_headings_fit_several_logs_is_asked_about(run: Run, folder: Path) -> None:
    app = run("moving", folder)
    text = "Boat;Anode;Date\nH1;pencil;29.05.2031 07:00\n"
    app.file_uploader[0].upload("table.csv", text.encode(), "text/csv").run()
    (box,) = (box for box in app.selectbox if box.label == "Into which log")
    assert box.value is None
    assert not any("would be taken" in each.value for each in app.markdown)
    box.set_value("fittings")
    app.run()
    assert "1 row would be taken" in told(app)
    press(app, "Take these rows")
    assert read_fleet(folder).fittings["fitted_at"].max().day == 29


def test_files_for_two_logs_are_taken_at_once(run: Run, folder: Path) -> None:
    before = {log: len(read_fleet(folder).tables[log]) for log in ("readings", "outings")}
    outings = (
        "Boat;Date;Time out;Time back;Engine hours\n"
        "H1;28.05.2031;22:10;00:40;1,5\n"
        "H2;31.02.2031;09:10;10:40;1,5\n"
    )
    readings = "Boat;Anode;Date;Size (mm)\nH1;pencil;29.05.2031 07:00;6,61\n"
    app = run("moving", folder)
    app.file_uploader[0].upload("outings of May.csv", outings.encode(), "text/csv")
    app.file_uploader[0].upload("readings.csv", readings.encode(), "text/csv").run()
    assert not app.exception
    assert "line 3, H2: Date and Time out is no date of the calendar" in told(app)
    press(app, "Take these rows")
    assert not app.exception
    tables = read_fleet(folder).tables
    assert {log: len(tables[log]) - rows for log, rows in before.items()} == {
        "readings": 1, "outings": 1,
    }  # fmt: skip
    late = tables["outings"].set_index("ended").loc["2031-05-28 23:40"]  # UTC
    assert late["started"] == pd.Timestamp("2031-05-28 21:10", tz="UTC")


def test_a_file_that_is_none_is_said_and_nothing_changes(run: Run, folder: Path) -> None:
    app = run("moving", folder)
    app.file_uploader[0].upload("readings.xlsx", b"PK no spreadsheet", "text/csv").run()
    assert not app.exception
    assert app.error


def test_nothing_is_imported_into_the_demo(run: Run) -> None:
    app = run("moving", None)
    assert not app.exception
    assert not app.file_uploader
    assert "Practise on a copy" in [button.label for button in app.button]


@pytest.mark.parametrize("form", ["csv", "parquet"])
def test_everything_goes_out_in_one_zip_file(folder: Path, form: str) -> None:
    with zipfile.ZipFile(io.BytesIO(export_zip(folder, form))) as packed:  # type: ignore[arg-type]
        names = packed.namelist()
    assert f"readings.{form}" in names
    assert "fleet.toml" in names


def test_the_zip_of_parquet_is_a_fleet_again(folder: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(io.BytesIO(export_zip(folder, "parquet"))) as packed:
        packed.extractall(tmp_path / "again")
    once, again = read_fleet(folder), read_fleet(tmp_path / "again")
    assert again.readings["size_mm"].tolist() == once.readings["size_mm"].tolist()
    assert again.settings == once.settings
