"""Rows that differ are found once, and rows are taken as pandas takes them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from corrosion.common import is_one_cell, one_cell, rows_taken, rows_that_differ


def test_rows_that_differ_are_those_that_pandas_keeps_and_every_row_finds_its_own() -> None:
    rng = np.random.default_rng(4)
    table = pd.DataFrame({"a": rng.integers(0, 4, 300).astype(float), "b": rng.integers(0, 5, 300)})
    first, row = rows_that_differ(table["a"].to_numpy(), table["b"].to_numpy())
    assert first.size == len(table.drop_duplicates())
    assert table.iloc[first[row]].reset_index(drop=True).equals(table)
    assert not table.iloc[first].duplicated().any()


def test_no_rows_are_no_rows_and_an_unknown_number_differs_from_every_other() -> None:
    first, row = rows_that_differ(np.zeros(0))
    assert first.size == row.size == 0
    first, row = rows_that_differ(np.array([np.nan, 1.0, np.nan, 1.0]))
    assert first.size == 3
    assert row[1] == row[3]


def test_rows_taken_are_the_rows_that_pandas_takes_and_unknown_columns_stay_unknown() -> None:
    moments = pd.to_datetime(["2031-05-02 08:00", None, "2031-05-01 09:30"], utc=True)
    table = pd.DataFrame(
        {
            "hull_id": pd.Series(["H2", None, "H1"], dtype=object),
            "at": moments.as_unit("us"),
            "hours": [1.5, np.nan, 2.5],
            "void": pd.array([True, None, False], dtype="boolean"),
            "note": pd.Series([None, None, None], dtype=object),
        }
    )
    for order in (np.array([2, 0, 1]), np.array([1]), np.array([0, 1, 2]), np.zeros(0, np.intp)):
        expected = table.iloc[order].reset_index(drop=True)
        pd.testing.assert_frame_equal(rows_taken(table, order), expected)


def test_a_cell_that_is_written_into_the_rows_taken_leaves_the_table_as_it_was() -> None:
    table = pd.DataFrame({"at": [2.0, 1.0], "note": pd.Series([None, None], dtype=object)})
    taken = rows_taken(table, np.array([1, 0]))
    taken["note"] = taken["note"].where([True, False], "a word")
    taken.loc[0, "at"] = 5.0
    assert table["note"].isna().all()
    assert table["at"].tolist() == [2.0, 1.0]


def test_a_column_of_one_cell_is_taken_and_chosen_as_a_written_out_one_and_takes_no_room() -> None:
    cell = one_cell(np.array(["x"], dtype=object), 5)
    slim = pd.DataFrame({"a": cell, "b": pd.Series(np.arange(5))}, copy=False)
    full = slim.assign(a=pd.Series(["x"] * 5, dtype=object))
    assert is_one_cell(slim["a"])
    assert not is_one_cell(full["a"])
    for order in (np.array([4, 0, 2]), np.array([4, 3, 2, 1, 0]), np.arange(5), np.arange(0)):
        assert rows_taken(slim, order).equals(rows_taken(full, order))
    assert is_one_cell(rows_taken(slim, np.array([4, 0, 2]))["a"])
    masked = slim["a"].mask(slim["b"] == 1)
    assert masked.isna().tolist() == [False, True, False, False, False]
    assert slim["a"].tolist() == ["x"] * 5, "writing into a copy leaves the column alone"
