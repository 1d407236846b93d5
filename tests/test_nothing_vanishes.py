"""No row of a list vanishes: it is an item with an outcome, or it is told why it is none."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

import tallyhook
from tallyhook.report import Report


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
