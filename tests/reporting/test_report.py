"""A report tells of each item, finding and item not compared what a program joins them by."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from stock_reports import ROWS, report_of

import tallyhook
from checked_lists import checked_lines

POUND = 0.45359237  # kg, exact: international yard and pound agreement, 1959


def _told(report: tallyhook.Report, name: str, *fields: str) -> list[tuple[Any, ...]]:
    return [tuple(record[field] for field in fields) for record in report.to_dict()[name]]


def test_items_findings_and_items_not_compared_have_their_part(tmp_path: Path) -> None:
    report = report_of()
    assert _told(report, "items", "row", "part") == [(n, f"HP-{n - 1}") for n in range(2, 9)]
    assert _told(report, "findings", "row", "part") == [(5, "HP-4"), (6, "HP-5")]
    assert _told(report, "not_compared", "row", "part") == [(7, "HP-6")]


def test_an_item_names_the_rating_it_agrees_with_and_a_finding_the_one_it_expects() -> None:
    # the names are made of scheme, grade and size (chain.ratings); of two ratings that agree the
    # law's (49 CFR 393.108) comes before the practice of the chain specifications
    report = report_of()
    assert _told(report, "items", "outcome", "rating_id") == [
        ("agree", "chain/us-tiedown/30/7mm"),
        ("agree", "chain/us-tiedown/70/10mm"),
        ("agree", "chain/us-chain/80/10mm"),
        ("contradicted", None),
        ("contradicted", None),
        ("not_compared", None),
        ("agree", "chain/us-tiedown/30/8mm"),
    ]
    assert _told(report, "findings", "row", "rating_id") == [
        (5, "chain/us-chain/70/10mm"),
        (6, "chain/us-chain/43/13mm"),
    ]


def test_a_load_that_fits_its_table_names_no_rating_where_the_row_is_contradicted(
    tmp_path: Path,
) -> None:
    # EN 818-2 prints 3.15 t and 126 kN for 10 mm grade 8
    heading = "Description,Size,Grade,WLL (kg),Breaking force (kN)"
    rows = ("Chain,10 mm,80,3150,126", "Chain,10 mm,80,3150,60")
    report = checked_lines(tmp_path, heading, *rows)
    assert _told(report, "items", "outcome", "rating_id") == [
        ("agree", "chain/european/80/10mm"),
        ("contradicted", None),
    ]
    ((rule, rating_id, observed, expected),) = _told(
        report, "findings", "rule", "rating_id", "observed_kg", "expected_kg"
    )
    assert rule == "breaking-force-and-rating-disagree"
    assert (rating_id, observed, expected) == (None, None, None)  # no load, and no rating


def test_loads_are_told_in_kilograms() -> None:
    # 49 CFR 393.108: 6,600 lb of grade 70 in 3/8 in, 9,200 lb of grade 43 in 1/2 in
    assert _told(report_of(), "findings", "observed_kg", "expected_kg") == [
        (round(26400 * POUND, 3), round(6600 * POUND, 3)),
        (round(4170 * POUND, 3), round(9200 * POUND, 3)),
    ]


def test_a_finding_of_many_rows_says_only_what_is_the_same_in_all() -> None:
    fields = ("part", "rating_id", "observed_kg", "expected_kg")
    three = [r | {"lb": round(r["lb"] * 0.4536)} for r in ROWS[:3] * 4]
    assert _told(report_of(three), "findings", *fields) == [(None, None, None, None)]
    one = [ROWS[2] | {"lb": 3221}] * 12  # 7,100 lb in kilograms
    assert _told(report_of(one), "findings", *fields) == [
        ("HP-3", "chain/us-chain/80/10mm", round(3221 * POUND, 3), round(7100 * POUND, 3))
    ]


def test_a_cell_of_a_matrix_is_told_by_its_heading(tmp_path: Path) -> None:
    # EN 818-2: 10 mm grade 8 is 3.15 t, grade 10 (as restated) 4 t
    heading = "Description,Size (mm),Grade 80 WLL (kg),Grade 100 WLL (kg)"
    rows = ("Chain,10,3150,16000", "Chain,13,5300,", "Chain,99,1,2")
    report = checked_lines(tmp_path, heading, *rows)
    both = ["Grade 80 WLL (kg)", "Grade 100 WLL (kg)"]
    assert _told(report, "items", "row", "column") == [
        (2, both[0]), (2, both[1]), (3, both[0]), (4, both[0]), (4, both[1]),
    ]  # fmt: skip
    assert (2, both[1]) in _told(report, "findings", "row", "column")
    assert _told(report, "not_compared", "row", "column") == [(4, both[0]), (4, both[1])]


def test_where_a_row_holds_one_item_no_heading_is_told(tmp_path: Path) -> None:
    heading = "Description,Size (mm),Grade,WLL (kg),WLL (lb)"
    report = checked_lines(tmp_path, heading, "Chain,10,80,3150,6945", "Chain,13,80,5300,11684")
    assert _told(report, "items", "row", "column") == [(2, None), (3, None)]


def test_parts_of_rows_that_contradict_each_other_are_told(tmp_path: Path) -> None:
    heading = "Part,Description,Size,Grade,WLL (kg)"
    report = checked_lines(tmp_path, heading, "A-1,Chain,10 mm,80,3150", "A-1,Chain,13 mm,80,5300")
    rule = "same-part-number-has-two-ratings"
    assert [
        f for f in _told(report, "findings", "rule", "part", "observed_kg") if f[0] == rule
    ] == [
        (rule, "A-1", 3150),
        (rule, "A-1", 5300),
    ]


def test_a_list_without_a_row_of_headings_has_none(tmp_path: Path) -> None:
    path = tmp_path / "list.jsonl"
    path.write_text('{"Description": "Chain 10 mm grade 80", "WLL (kg)": 3150}\n')
    report = tallyhook.check(path)
    assert (report.to_dict()["list"]["heading_row"], report.items["row"].tolist()) == (None, [1])
