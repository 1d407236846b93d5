"""Frames between polars and pandas, as pyarrow makes them, and without it."""

from __future__ import annotations

import datetime
import decimal
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pytest

import tallyhook
from tallyhook.frames import from_pandas, to_pandas
from tallyhook.packages.package import Package

DEMO = "datasets/demo/harrow-and-pike.csv"
COLUMNS: dict[str, pl.Series] = {
    "text": pl.Series(["C-70", None, ""]),
    "no text": pl.Series([None, None, None], dtype=pl.String),
    "small": pl.Series([1, None, 3], dtype=pl.Int8),
    "whole": pl.Series([1, 2, 3]),
    "number": pl.Series([1.5, None, 3.0]),
    "single": pl.Series([1.5, None, 3.0], dtype=pl.Float32),
    "yes or no": pl.Series([True, None, False]),
    "yes": pl.Series([True, True, False]),
    "nothing": pl.Series([None, None, None]),
    "rows": pl.Series([[2, 3], None, []]),
    "causes": pl.Series([["a"], [], None]),
    "moment": pl.Series([datetime.datetime(2026, 1, 2, 3, 4), None, None]),
    "exact": pl.Series([decimal.Decimal("1.5"), None, None]),
}


@pytest.mark.parametrize("name", COLUMNS)
@pytest.mark.parametrize("rows", [0, 1, 3])
def test_a_column_becomes_what_pyarrow_makes_of_it(name: str, rows: int) -> None:
    frame = COLUMNS[name].head(rows).alias(name).to_frame()
    pd.testing.assert_frame_equal(to_pandas(frame), frame.to_pandas())


def test_every_table_and_every_report_is_what_pyarrow_makes_of_it(
    packages: dict[str, Package],
) -> None:
    report = tallyhook.check(DEMO)
    frames = [report.stock_findings, report.matched]
    frames += [table for package in packages.values() for table in package.tables.values()]
    for frame in frames:
        pd.testing.assert_frame_equal(to_pandas(frame), frame.to_pandas())


def test_a_frame_without_columns_keeps_its_rows() -> None:
    assert to_pandas(pl.DataFrame()).shape == (0, 0)


PANDAS: dict[str, tuple[Any, Any]] = {
    "text": (["a", None, "c"], pl.Series(["a", None, "c"])),
    "category": (pd.Categorical(["x", None, "x"]), pl.Series(["x", None, "x"])),
    "float": ([1.5, np.nan, 2], pl.Series([1.5, None, 2.0])),
    "half": (np.array([1, 2], dtype=np.float16), pl.Series([1, 2], dtype=pl.Float32)),
    "count": (pd.array([1, None, 3], dtype="Int64"), pl.Series([1, None, 3])),
    "yes or no": (pd.array([True, None], dtype="boolean"), pl.Series([True, None])),
    "objects": (pd.Series([1, None, 3], dtype=object), pl.Series([1, None, 3])),
    "numbers": (pd.Series([1, 2.5, None], dtype=object), pl.Series([1.0, 2.5, None])),
    "exact": ([decimal.Decimal("1.5"), None], pl.Series([decimal.Decimal("1.5"), None])),
    "day": ([datetime.date(2026, 1, 2), None], pl.Series([datetime.date(2026, 1, 2), None])),
    "moment": (
        pd.to_datetime(["2026-01-02", None]),
        pl.Series([datetime.datetime(2026, 1, 2), None]),
    ),
    "lists": ([[1, 2], None], pl.Series([[1, 2], None])),
    "nothing": ([np.nan, np.nan], pl.Series([None, None], dtype=pl.Float64)),
    # what is no single type stays as it is, and the numbers beside it stay numbers
    "mixed": ([1, "a", None], [1, "a", None]),
    "truth and count": (pd.Series([True, 1, None], dtype=object), [True, 1, None]),
    "beyond any number": (pd.Series([2**200, 1], dtype=object), [2**200, 1]),
    "spans": (pd.interval_range(0, 2), [pd.Interval(0, 1), pd.Interval(1, 2)]),
}


@pytest.mark.parametrize("name", PANDAS)
def test_a_pandas_column_keeps_its_type_and_what_is_missing(name: str) -> None:
    values, expected = PANDAS[name]
    (found,) = from_pandas(pd.DataFrame({"x": values}))
    if isinstance(expected, list):
        assert found == expected
    else:
        assert isinstance(found, pl.Series)
        assert found.to_list() == expected.to_list()
        kept = expected.dtype if name != "exact" else found.dtype
        assert found.dtype == kept


def test_names_may_repeat() -> None:
    frame = pd.DataFrame([[1, "a"]], columns=["x", "x"])
    assert [c.to_list() for c in from_pandas(frame) if isinstance(c, pl.Series)] == [[1], ["a"]]
