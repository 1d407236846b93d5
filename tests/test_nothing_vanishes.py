"""No row of a list vanishes: it is an item with an outcome, or it is told why it is none."""

from __future__ import annotations

import html
from pathlib import Path

import openpyxl
import pandas as pd
import polars as pl
import pytest

import tallyhook
from report_checks import valid_json
from tallyhook.reporting.list_text import unchecked
from tallyhook.reporting.page import page_html
from tallyhook.reporting.report import Report
from tallyhook.reporting.terminal import columns_text, report_text
from tallyhook.reporting.workbook import write_workbook

ROOT = Path(__file__).resolve().parents[1]


def checked(folder: Path, *lines: str) -> Report:
    path = folder / "list.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return tallyhook.check(path)


def outcomes(report: Report) -> dict[int, str]:
    return dict(report.matched.select("row", "outcome").iter_rows())


def test_an_item_without_a_rating_is_counted_and_grades_nothing(tmp_path: Path) -> None:
    # 8,800 lb is the rating of 3/8 in grade 100, 15,000 lb of 1/2 in (ASTM A391, A973, as
    # restated): right only if the grade of row 3 held for the rows below it
    report = checked(
        tmp_path,
        "Description,WLL lb",
        "3/8 grade 80 chain,7100",
        "3/8 grade 100 alloy chain,",
        "3/8 alloy chain,8800",
        "1/2 alloy chain,15000",
    )
    assert outcomes(report) == {
        2: "agree",
        3: "not compared",
        4: "not compared",
        5: "not compared",
    }
    assert report.counts["rows"] == 4
    assert report.not_compared["why"].str.contains("grade").to_list() == [False, True, True]


def test_a_missing_rating_of_a_frame_is_an_item(tmp_path: Path) -> None:
    frame = pd.DataFrame(
        {
            "Description": [f"{size} grade 80 chain" for size in ("3/8", "1/2", "5/8")],
            "WLL lb": [7100, None, 18100.0],
        }
    )
    report = tallyhook.check(frame)
    assert report.counts["rows"] == len(frame)
    assert report.not_compared["row"].to_list() == [3]


def test_a_row_of_a_chart_without_a_rating_in_the_chosen_column_is_an_item(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(
        "Sling,Legs,Chain size,Grade,WLL vertical lb,WLL @60 lb\n"
        "Single leg chain sling,1,3/8,80,7100,\n"
        "Double leg chain sling,2,3/8,80,,12300\n"
    )
    report = tallyhook.check(path, columns={"wll": "WLL @60 lb"})
    assert outcomes(report) == {2: "not compared", 3: "agree"}


def test_items_above_the_heading_are_items_and_lend_no_grade(tmp_path: Path) -> None:
    # as in a sheet that was sorted with its heading: 8,800 lb is the rating of 3/8 in grade 100,
    # 7,100 lb and 12,000 lb are those of 3/8 and 1/2 in grade 80 (ASTM A391, A973, as restated)
    report = checked(
        tmp_path,
        "Harrow & Pike price list 2024,,",
        "Q1,Lifting chain 3/8 grade 80,28400",
        "Q2,Lifting chain 3/8 grade 100,8800",
        "Part,Description,WLL (lb)",
        "P1,Lifting chain 3/8,8800",
        "P2,Lifting chain 1/2 grade 80,12000",
    )
    assert outcomes(report) == {2: "contradicted", 3: "agree", 5: "not compared", 6: "agree"}
    assert report.not_compared["why"].to_list() == ["no grade could be read"]
    danger = report.stock_findings.filter(pl.col("severity") == "danger")
    assert danger.select("row", "cause").rows() == [(2, "breaking-force-as-wll")]
    assert report.to_dict()["list"]["passed_over"] == {"heading": 1, "title above the heading": 1}


@pytest.mark.parametrize(
    "item",
    [
        "Lifting chain 3/8 grade 80 28400 lb.,,,,5",
        "Lifting chain 3/8 grade 80 for lifting and lashing in heavy steel works 28400 lb.,,,,5",
        "Grab hook 3/8 grade 80 28400 lb!,,,,5",
    ],
)
def test_an_item_told_in_one_cell_beside_its_stock_is_an_item(item: str, tmp_path: Path) -> None:
    # 7,100 lb and 12,000 lb are the ratings of 3/8 and 1/2 in grade 80 (ASTM A391, as restated),
    # and a quarter of the breaking force
    report = checked(
        tmp_path,
        "Description,Size,Grade,WLL (lb),Stock",
        "Lifting chain,3/8,80,7100,5",
        "Lifting chain,1/2,80,12000,5",
        item,
        "All prices are net.,,,,5",
    )
    assert outcomes(report) == {2: "agree", 3: "agree", 4: "contradicted"}
    assert report.to_dict()["list"]["passed_over"] == {"heading": 1, "note": 1}


def test_a_wrong_rating_strikes_no_item_of_the_table_beside_it(tmp_path: Path) -> None:
    # 7,100 lb and 12,000 lb are the ratings of 3/8 and 1/2 in grade 80 (ASTM A391, as restated)
    report = checked(
        tmp_path,
        "Description,WLL (lb),Description,WLL (lb)",
        "Chain 3/8 grade 80,7100,Chain 1/2 grade 80,12000",
        "Chain 3/8 grade 80,28400,Chain 1/2 grade 80,12000",
        "Chain 3/8 grade 80,7100,Chain 1/2 grade 80,48000",
    )
    told = report.matched.select("row", "size_mm", "outcome").rows()
    assert [t for t in told if t[2] != "agree"] == [
        (3, 10.0, "contradicted"),
        (4, 13.0, "contradicted"),
    ]
    assert (report.counts["agree"], report.counts["contradicted"]) == (4, 2)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A workbook with a hidden row, a hidden sheet, and a sheet that two columns may rate."""
    book = openpyxl.Workbook()
    chain = book.active
    chain.title = "Chain"
    for row in (
        ["Item", "Size", "Grade", "WLL (kg)"],
        ["Chain", "10 mm", 8, 3150],
        ["Chain", "7 mm", 8, 61600],
        ["Grade 10", None, None, None],
        ["Chain", "10 mm", None, 4000],
    ):
        chain.append(row)
    chain.row_dimensions[3].hidden = True
    old = book.create_sheet("Old")
    old.append(["Item", "Size", "Grade", "WLL (kg)"])
    old.append(["Chain", "10 mm", 8, 31500])
    old.sheet_state = "hidden"
    twice = book.create_sheet("Hooks")
    twice.append(["Item", "Size", "WLL (kg)", "Capacity (kg)"])
    twice.append(["Hook grade 8", "10 mm", 3150, 31500])
    twice.append(["Hook grade 8", "13 mm", 5300, 53000])
    book.save(tmp_path / "list.xlsx")
    return tmp_path / "list.xlsx"


def test_what_a_workbook_hides_is_told_in_every_report(book: Path, tmp_path: Path) -> None:
    report = tallyhook.check(book)
    assert outcomes(report) == {2: "agree", 5: "agree"}
    words = "1 hidden row (3 of 'Chain'), 1 hidden sheet ('Old') and 1 other sheet ('Hooks': "
    line = unchecked(report.layouts)
    assert line.startswith(words + "several columns could be the rated load")
    assert " were not checked; " in line

    def plain(text: str) -> str:
        return " ".join(text.split())

    assert f"NOT CHECKED: {line}" in plain(report_text(report))
    assert f"NOT CHECKED: {line}" in plain(columns_text(report.layouts))
    assert f"<strong>Not checked.</strong> {line}." in html.unescape(page_html(report))
    write_workbook(report, tmp_path / "marked.xlsx", book)
    summary = openpyxl.load_workbook(tmp_path / "marked.xlsx")["Summary"]
    assert ("NOT CHECKED", line) in {tuple(r[:2]) for r in summary.iter_rows(values_only=True)}
    told = report.to_dict()
    assert told["list"]["hidden_rows"] == [3]
    not_checked = [(s["sheet"], s["state"]) for s in told["sheets_not_checked"]]
    assert sorted(not_checked) == [("Hooks", "looks_like_ratings"), ("Old", "looks_like_ratings")]
    assert {s["sheet"]: s["why"] for s in told["sheets_not_checked"]}["Old"] == "hidden"
    valid_json(report.to_json())


def test_hidden_rows_of_every_table_of_a_sheet_are_told(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Chain"
    for row in (
        ["Part", "Description", "Size", "Grade", "WLL (lb)"],
        ["P1", "Lifting chain", "3/8", 80, 7100],
        ["X1", "Lifting chain", "3/8", 80, 28400],
        ["P2", "Lifting chain", "1/2", 80, 12000],
        [],
        ["Item no.", "Item name", "Diameter", "Class", "Working load (kg)"],
        ["Q1", "Lifting chain", "10 mm", 80, 3150],
        ["X2", "Lifting chain", "10 mm", 80, 31500],
        ["Q2", "Lifting chain", "13 mm", 80, 5300],
    ):
        sheet.append(row)
    for hidden in (3, 8):
        sheet.row_dimensions[hidden].hidden = True
    book.save(tmp_path / "list.xlsx")
    report = tallyhook.check(tmp_path / "list.xlsx")
    assert len(report.layouts) == 2
    assert set(outcomes(report)) == {2, 4, 7, 9}
    assert unchecked(report.layouts).startswith("2 hidden rows (3, 8 of 'Chain')")


def test_a_hidden_sheet_is_checked_when_it_is_named(book: Path) -> None:
    report = tallyhook.check(book, sheet="Old")
    assert outcomes(report) == {2: "contradicted"}
    assert unchecked(report.layouts) == ""


def test_the_rows_of_a_list_and_those_passed_over_are_all_rows(book: Path) -> None:
    report = tallyhook.check(book, sheet="Chain")
    told = report.to_dict()["list"]
    assert told["passed_over"] == {"heading": 1, "hidden row": 1, "section heading": 1}
    assert told["rows"] + sum(told["passed_over"].values()) == 5
    text = " ".join(report_text(report).split())
    assert "PASSED OVER (1): rows that hold no item section heading: 1, rows 4 of Chain" in text


def test_a_list_that_hides_nothing_says_nothing(tmp_path: Path) -> None:
    report = checked(tmp_path, "Description,WLL lb", "3/8 grade 80 chain,7100")
    assert unchecked(report.layouts) == ""
    assert "NOT CHECKED" not in report_text(report)
    assert "PASSED OVER" not in report_text(report)
