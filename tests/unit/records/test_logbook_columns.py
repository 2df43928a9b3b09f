"""Facts about cells: every type that a writer may use, read as the dictionary means it."""

import uuid
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pytest

from corrosion.common.errors import LogRefused
from corrosion.records.logbook import read_fleet
from tests.fleets import usual_fleet, write_table

ON = "2031-06-01"


def hulls_with(folder: Path, **columns: pa.Array) -> pd.DataFrame:
    """The register of hulls, with these columns in place of the usual ones."""
    rows = len(next(iter(columns.values())))
    usual = {"hull_id": pa.array([f"X{n}" for n in range(rows)]), "layout": pa.array(["t"] * rows)}
    usual_fleet(0).berth("X0", "E").write(folder)
    write_table(folder, "hulls", pa.table(usual | columns))
    return read_fleet(folder, ON).hulls


def readings_with(folder: Path, **columns: pa.Array) -> pd.DataFrame:
    """Readings of H1's pencil, a minute apart, with these columns."""
    fill_readings(folder, "part", columns)
    return read_fleet(usual_fleet().write(folder), ON).readings


def fill_readings(folder: Path, part: str, columns: dict[str, pa.Array]) -> None:
    rows = len(next(iter(columns.values())))
    minutes = pd.date_range("2031-05-01", periods=rows, freq="min", tz="UTC").as_unit("us")
    usual = {"hull_id": pa.array(["H1"] * rows), "position": pa.array(["pencil"] * rows)}
    table = pa.table(usual | {"read_at": pa.array(minutes)} | columns)
    write_table(folder, "readings", table, f"{part}.parquet")


@pytest.mark.parametrize(
    "ids",
    [
        pa.array([12, 7, None]),
        pa.array([12, 7, None], pa.uint8()),
        pa.array([12.0, 7.0, None]),
        pa.array([12.0, 7.0, float("nan")]),
        pa.array([12, 7, None], pa.float32()),
        pa.array([Decimal("12.00"), Decimal("7.00"), None], pa.decimal128(9, 2)),
        pa.array(["12.0", "7.000", None]),
        pa.array([" 12", "7 ", "  "]),
        pa.array(["12", "7", None], pa.large_string()),
        pa.array(["12", "7", None], pa.string_view()),
        pa.array([b"12", b"7", None], pa.binary()),
        pa.array([b"12", b"7", None], pa.large_binary()),
        pa.array(["12", "7", None]).dictionary_encode(),
        pa.array([12, 7, None]).dictionary_encode(),
    ],
    ids=lambda array: str(array.type)[:40],
)
def test_an_id_is_read_as_its_text(tmp_path: Path, ids: pa.Array) -> None:
    assert sorted(hulls_with(tmp_path, hull_id=ids)["hull_id"], key=str) == ["12", "7", None]


@pytest.mark.parametrize(
    ("given", "read"),
    [(12.5, "12.5"), (-3.0, "-3"), (2.0**60, "1.152921504606847e+18"), (-0.0, "0")],
)
def test_a_float_id_keeps_its_value(tmp_path: Path, given: float, read: str) -> None:
    assert hulls_with(tmp_path, hull_id=pa.array([given]))["hull_id"].tolist() == [read]


@pytest.mark.parametrize("text", ["12.0.0", "v1.0", "1.05", "10", "100.50"])
def test_an_id_that_is_no_whole_number_keeps_its_text(tmp_path: Path, text: str) -> None:
    assert hulls_with(tmp_path, hull_id=pa.array([text]))["hull_id"].tolist() == [text]


def test_free_text_keeps_its_decimals(tmp_path: Path) -> None:
    assert hulls_with(tmp_path, name=pa.array(["7.0"]))["name"].tolist() == ["7.0"]


def test_a_uuid_is_read_as_its_text(tmp_path: Path) -> None:
    name = uuid.UUID("5f3cdd7e-0b7e-4c1c-8a55-3c1f0d0f9a10")
    ids = pa.array([None, name.bytes], pa.uuid())
    assert hulls_with(tmp_path, hull_id=ids)["hull_id"].tolist() == [None, str(name)]


@pytest.mark.parametrize(
    "sizes",
    [
        pa.array([8, None]),
        pa.array([8.0, float("nan")]),
        pa.array([8.0, None], pa.float16()),
        pa.array([Decimal("8.00"), None], pa.decimal128(5, 2)),
        pa.array([" 8.00 ", ""]),
        pa.array(["8", "NaN"]),
        pa.array(["8e0", None]).dictionary_encode(),
        pa.array([b"8", None]),
    ],
    ids=lambda array: str(array.type)[:40],
)
def test_a_number_is_read_from_every_type_that_holds_one(tmp_path: Path, sizes: pa.Array) -> None:
    read = readings_with(tmp_path, size_mm=sizes)["size_mm"]
    assert read.dtype == "float64"
    np.testing.assert_array_equal(read, [8.0, np.nan])


@pytest.mark.parametrize(
    ("sizes", "count", "first"),
    [
        (pa.array(["8.5", "8,5", "x"]), "2 rows", "8,5"),
        (pa.array(["8.5", None, "1_0"]), "1 row", "1_0"),
        (pa.array([True, None, None]), "1 row", "True"),
        (pa.array([None, pd.Timestamp("2031-05-01"), None]), "1 row", "2031-05-01 00:00:00"),
        (pa.array([[8.5], None, [8.1]]), "2 rows", r"\[8\.5\]"),
        (pa.array([b"\xff", None, None]), "1 row", r"b'\\xff'"),
    ],
    ids=lambda value: str(getattr(value, "type", ""))[:30],
)
def test_what_is_no_number_is_refused_with_file_count_and_first(
    tmp_path: Path, sizes: pa.Array, count: str, first: str
) -> None:
    refusal = (
        rf"readings: {count} where size_mm is not a number \(first: readings/part\.parquet, H1, "
    )
    with pytest.raises(LogRefused, match=refusal + rf".*size_mm {first}\). Write a number"):
        readings_with(tmp_path, size_mm=sizes)


def test_an_infinite_number_is_set_aside_and_counted(tmp_path: Path) -> None:
    fill_readings(tmp_path, "part", {"size_mm": pa.array([8.0, float("inf"), -float("inf")])})
    logbook = read_fleet(usual_fleet().write(tmp_path), ON)
    np.testing.assert_array_equal(logbook.readings["size_mm"], [8.0, np.nan, np.nan])
    finding = logbook.findings.set_index("rule").loc["not-finite"]
    assert (finding["severity"], finding["rows"]) == ("set-aside", 2)
    assert finding["first"] == "H1, pencil, 2031-05-01 00:01, size_mm infinite"


@pytest.mark.parametrize(
    "flags",
    [
        pa.array([True, False, None]),
        pa.array([1, 0, None]),
        pa.array([1.0, 0.0, None]),
        pa.array(["yes", "No", ""]),
        pa.array(["TRUE", " false ", None]),
        pa.array(["1", "0", None]).dictionary_encode(),
    ],
    ids=lambda array: str(array.type)[:40],
)
def test_a_flag_is_read_as_yes_no_or_unknown(tmp_path: Path, flags: pa.Array) -> None:
    read = readings_with(tmp_path, removed=flags)["removed"]
    assert read.dtype == "boolean"
    assert read.tolist() == [True, False, pd.NA]


@pytest.mark.parametrize("flags", [pa.array(["yes", "perhaps"]), pa.array([1, 2])])
def test_a_flag_that_is_neither_is_refused(tmp_path: Path, flags: pa.Array) -> None:
    with pytest.raises(LogRefused, match=r"1 row where removed is not yes or no .*(perhaps|2)\)"):
        readings_with(tmp_path, removed=flags)


@pytest.mark.parametrize("word", ["could-not", "Could not", "COULD_NOT ", "couldnot"])
def test_an_allowed_word_is_read_whatever_its_case_and_spaces(tmp_path: Path, word: str) -> None:
    fleet = usual_fleet().flush("H1", "2031-05-01", done=word)
    assert read_fleet(fleet.write(tmp_path), ON).flushes["done"].tolist() == ["could-not"]


def test_done_may_be_a_flag(tmp_path: Path) -> None:
    times = pa.array(pd.date_range("2031-05-01", periods=3, tz="UTC").as_unit("us"))
    cells: dict[str, Any] = {"hull_id": ["H1"] * 3, "flushed_at": times}
    write_table(tmp_path, "flushes", pa.table(cells | {"done": [True, False, None]}))
    read = read_fleet(usual_fleet().write(tmp_path), ON).flushes["done"]
    assert read.tolist() == ["yes", "no", "yes"]


@pytest.mark.parametrize(
    ("log", "column", "change"),
    [
        ("moorings", "water", {"mooring_id": "S", "water": "murky"}),
        ("berths", "stays", {"hull_id": "H1", "mooring_id": "E", "since": ON, "stays": "murky"}),
        ("anode_positions", "alloy", {"alloy": "murky"}),
        ("anode_positions", "circuit", {"circuit": "murky"}),
        ("anode_positions", "gauge", {"gauge": "murky"}),
    ],
)
def test_a_register_with_an_unknown_word_is_refused(
    tmp_path: Path, log: str, column: str, change: dict[str, str]
) -> None:
    fleet = usual_fleet()
    fleet.rows[log].append(fleet.rows[log][0] | change)
    refusal = (
        rf"{log}: 1 row where {column} is not one of \w+, .*{column} murky\). Write one of \w+"
    )
    with pytest.raises(LogRefused, match=refusal):
        read_fleet(fleet.write(tmp_path), "2031-12-01")


def test_an_unknown_word_in_an_event_is_unknown_and_doubtful(tmp_path: Path) -> None:
    fleet = usual_fleet().outing("H1", "2031-05-02 09:00", water="sea")
    fleet.outing("H2", "2031-05-01 09:00", water="Salt").outing("H2", "2031-05-03", water="Sea?")
    fleet.flush("H1", "2031-05-02", done="partly")
    logbook = read_fleet(fleet.write(tmp_path), ON)
    assert logbook.outings["water"].tolist() == ["salt", None, None]
    assert logbook.flushes["done"].tolist() == [None]
    finding = logbook.findings.set_index(["log", "rule"]).loc[("outings", "unknown-word")]
    assert (finding["severity"], finding["rows"]) == ("doubtful", 2)
    assert finding["first"] == "H1, 2031-05-02 11:00, water sea"
    assert finding["what_to_do"] == "water is read as unknown; write one of salt, brackish, fresh."


def test_files_of_a_log_may_disagree_in_types_and_columns(tmp_path: Path) -> None:
    parts: list[dict[str, pa.Array]] = [
        {"size_mm": pa.array([9, 8])},
        {"size_mm": pa.array([7.5])},
        {"size_mm": pa.nulls(1), "note": pa.array(["crust"])},
        {"size_mm": pa.array(["6.5"]), "entry_id": pa.array([4])},
        {"note": pa.array(["x"]).dictionary_encode(), "entry_id": pa.array(["5"])},
    ]
    for number, columns in enumerate(parts):
        fill_readings(tmp_path, f"p{number}", columns)
    read = read_fleet(usual_fleet().write(tmp_path), ON).readings.sort_values("log_row")
    np.testing.assert_array_equal(read["size_mm"], [9, 8, 7.5, np.nan, 6.5, np.nan])
    assert read["note"].tolist() == [None, None, None, "crust", None, "x"]
    assert read["entry_id"].tolist() == [None, None, None, None, "4", "5"]
    assert read["log_file"].tolist()[:3] == ["readings/p0.parquet"] * 2 + ["readings/p1.parquet"]


def test_a_file_may_forbid_unknown_cells_where_another_has_them(tmp_path: Path) -> None:
    usual_fleet().write(tmp_path)
    strict = pa.schema([pa.field("hull_id", pa.string(), nullable=False), ("layout", pa.string())])
    write_table(
        tmp_path, "hulls", pa.table({"hull_id": ["H8"], "layout": ["t"]}, strict), "a.parquet"
    )
    write_table(tmp_path, "hulls", pa.table({"layout": ["t"], "hull_id": ["H9"]}), "b.parquet")
    assert {"H8", "H9"} <= set(read_fleet(tmp_path, ON).hulls["hull_id"])


def test_text_whose_bytes_are_no_text_is_refused_by_name(tmp_path: Path) -> None:
    broken = pa.StringArray.from_buffers(
        1, pa.py_buffer(np.array([0, 2], np.int32)), pa.py_buffer(b"\xff\xfe")
    )
    with pytest.raises(LogRefused, match=r"hulls: part\.parquet is not a whole Parquet file"):
        hulls_with(tmp_path, hull_id=broken)
