"""The index of a pandas frame comes back with every finding, item and item not compared."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pandas as pd
import polars as pl
import pytest

import tallyhook
from report_checks import valid_json

# EN 818-2: 10 mm grade 80 is 3,150 kg; it breaks at four times that. Row 3 has no grade.
ROWS = {
    "Part": ["A", "B", "C"],
    "Description": ["Chain"] * 3,
    "Size": ["10 mm"] * 3,
    "Grade": ["80", "", "80"],
    "WLL (kg)": ["3150", "3150", "12600"],
}


@pytest.mark.parametrize(
    ("index", "told"),
    [
        ([7, 8, 9], [7, 8, 9]),
        (["x", "y", "z"], ["x", "y", "z"]),
        ([0.5, 1.5, 2.5], [0.5, 1.5, 2.5]),
        ([0.5, None, 2.5], [0.5, None, 2.5]),
        ([1.0, 2.0, float("inf")], ["1.0", "2.0", "inf"]),  # JSON has no such number
        ([1, "y", 2.5], ["1", "y", "2.5"]),
        ([2**70, 1, 2], [str(2**70), "1", "2"]),
        ([True, False, True], ["True", "False", "True"]),
        (
            pd.to_datetime(["2026-01-01", "2026-01-02", "2026-01-03"]),
            ["2026-01-01T00:00:00", "2026-01-02T00:00:00", "2026-01-03T00:00:00"],
        ),
        (pd.array([1, None, 3], dtype="Int64"), [1, None, 3]),
        (
            pd.MultiIndex.from_tuples([("a", 1), ("a", 2), ("b", 1)]),
            ["('a', 1)", "('a', 2)", "('b', 1)"],
        ),
    ],
)
def test_json_has_it_as_a_number_or_as_text(index: Any, told: list[Any]) -> None:
    report = tallyhook.check(pd.DataFrame(ROWS, index=index))
    whole = valid_json(report.to_json())
    assert [item["index"] for item in whole["items"]] == told
    assert [f["index"] for f in whole["findings"]] == told[2:]
    assert [left["index"] for left in whole["not_compared"]] == told[1:2]


@pytest.mark.parametrize(
    "index",
    [
        [7, 8, 9],
        ["x", "y", "z"],
        pd.to_datetime(["2026-01-01", "2026-01-02", "2026-01-03"]),
        pd.MultiIndex.from_tuples([("a", 1), ("a", 2), ("b", 1)]),
        pd.Index(["x", "y", "z"], name="bin"),
        pd.CategoricalIndex(["x", "y", "z"]),
    ],
)
def test_python_has_it_as_the_frame_does_so_that_rows_join_back(index: Any) -> None:
    frame = pd.DataFrame(ROWS, index=index)
    report = tallyhook.check(frame)
    for told, parts in (
        (report.items, ["A", "B", "C"]),
        (report.findings, ["C"]),
        (report.not_compared, ["B"]),
    ):
        assert told["part"].tolist() == parts
        assert frame.loc[told["index"].tolist(), "Part"].tolist() == parts


def test_a_frame_without_headings_counts_from_row_1() -> None:
    rows = list(zip(*ROWS.values(), strict=True))
    frame = pd.DataFrame([tuple(ROWS), *rows], index=[5, 6, 7, 8])
    items = tallyhook.check(frame).items
    assert list(zip(items["row"], items["index"], strict=True)) == [(2, 6), (3, 7), (4, 8)]


def test_a_finding_of_a_decision_is_about_no_row(tmp_path: Path) -> None:
    from tallyhook.reporting.decisions import apply_decisions

    path = tmp_path / "decisions.csv"
    path.write_text(
        "row_key,rule,decision,who,why,date\nQ,ton-is-ambiguous,accept,A,b,2026-01-01\n"
    )
    report = apply_decisions(tallyhook.check(pd.DataFrame(ROWS, index=[7, 8, 9])), path).report
    assert [f["index"] for f in json.loads(report.to_json())["findings"]] == [9, None]
    assert report.findings["index"].tolist() == [9, None]


def test_a_tidied_list_joins_back_by_the_rows_of_the_list_that_it_was(tmp_path: Path) -> None:
    tallyhook.tidy(pd.DataFrame(ROWS), tmp_path / "out")
    text = pd.read_csv(tmp_path / "out" / "list.csv", dtype=str, keep_default_na=False)
    items = tallyhook.check(text.set_axis([30, 20, 10])).items
    assert list(zip(items["part"], items["index"], strict=True)) == [
        ("A", 30),
        ("B", 20),
        ("C", 10),
    ]


def test_a_file_and_a_frame_of_polars_have_none(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    pd.DataFrame(ROWS).to_csv(path, index=False)
    for stock in (path, pl.DataFrame(ROWS)):
        assert tallyhook.check(stock).items["index"].isna().all()
