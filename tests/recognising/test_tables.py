"""Several tables in a sheet, and cells merged downwards."""

from __future__ import annotations

from pathlib import Path

from stock_sheets import body, only_layout, sheet, workbook
from tallyhook.recognising.layouts import layouts_of_sheet


def test_a_later_table_in_doubt_is_told_with_its_reason() -> None:
    first = "Item,Size,WLL (lb)\nChain G80,3/8,7100\nChain G80,1/2,12000\n"
    doubted = "Article,Diameter,WLL,SWL\nChain G80,3/8,28400,21300\nChain G80,1/2,48000,36000"
    (layout,) = layouts_of_sheet(sheet(first + doubted))
    why = dict(layout.skipped.rows())
    assert (layout.body.height, list(why)) == (2, [1, 4, 5, 6])
    assert why[5] == (
        "of a table that is not checked: several columns could be the rated load: 'WLL' and 'SWL'"
    )
    # where nothing is a rated load that is the reason
    priced = "Part no.,Description,Size,Price\nA1,Shackle,3/8,12.50\nA2,Shackle,1/2,17.50"
    (layout,) = layouts_of_sheet(sheet(first + priced))
    assert set(layout.skipped["why"]) == {"heading", "of a table without rated loads"}


def test_cells_merged_downwards(tmp_path: Path) -> None:
    rows = [
        ["Grade", "Size mm", "WLL t"],
        ["8", 6, 1.12],
        [None, 8, 2],
        ["10", 8, 2.5],
        [None, 10, 4],
    ]
    layout = only_layout(workbook(tmp_path, rows, "A2:A3", "A4:A5"))
    assert layout.body["c0"].to_list() == ["8", "8", "10", "10"]


def test_tables_below_and_beside_each_other() -> None:
    below = "Item,Size,WLL lb\nHook,3/8,7100\n\nSlings,,\nGrade,WLL t,Size mm\n8,2,8\n8,3.15,10"
    first, second = layouts_of_sheet(sheet(below))
    assert (body(first), body(second)) == ([2], [6, 7])
    assert [c.role for c in second.columns] == ["grade", "wll", "size"]
    assert second.body["section"].to_list() == ["Slings", "Slings"]
    assert first.skipped.rows() == [(1, "heading")]
    assert second.skipped["row"].to_list() == [3, 4, 5]
    beside = "Size,WLL lb,,Size,WLL lb\n1/4,1300,,5/8,6900\n3/8,2650,,3/4,10600"
    left, right = layouts_of_sheet(sheet(beside))
    assert [c.column for c in right.columns] == ["c3", "c4"]
    assert left.body["c0"].to_list() == ["1/4", "3/8"] and right.body["c3"].to_list() == [
        "5/8",
        "3/4",
    ]
