"""Which rows are the heading, and what each column is headed with."""

from __future__ import annotations

from pathlib import Path

import pytest

from stock_sheets import body, gives, only_layout, roles, sheet, workbook


def test_two_heading_rows(tmp_path: Path) -> None:
    rows = [
        ["Chain size", "Working Load Limit (lbs)", None, "Dimensions (in)", None, "Weight"],
        ["in", "Grade 70", "Grade 80", "A", "B", "lb"],
        ["3/8", 6600, 7100, 1.2, 2.2, 1.1],
        ["1/2", 11300, 12000, 1.5, 2.5, 2.4],
    ]
    layout = only_layout(workbook(tmp_path, rows, "B1:C1", "D1:E1"))
    assert [c.role for c in layout.columns] == ["size", "wll", "wll", "ignore", "ignore", "ignore"]
    assert gives(layout) == [{"grade": "70"}, {"grade": "80"}]
    assert body(layout) == [3, 4]
    plain = only_layout(
        workbook(
            tmp_path,
            [
                ["Ref", "Item", "Size", "WLL"],
                [None, None, "(mm)", "(t)"],
                ["a", "Hook", 10, 3.15],
                ["b", "Hook", 13, 5.3],
            ],
        )
    )
    assert roles(plain) == {
        "Ref": "part",
        "Item": "description",
        "Size (mm)": "size mm",
        "WLL (t)": "wll t",
    }


@pytest.mark.parametrize(
    "load",
    # headings of invented lists; that each is one is plain to a reader
    ["MBS 4:1 lb", "WLL @60 lb", "WLL 5:1 t", "WLL 1.4 t", "Rated 2000 kg"],
)
def test_a_heading_may_hold_a_number_with_a_unit(load: str) -> None:
    rows = "D1,Alloy chain,3/8,80,28400,28400\nD2,Alloy chain,1/2,80,12000,48000"
    layout = only_layout(sheet(f"Item,Description,Size,Grade,WLL (lb),{load}\n{rows}"))
    assert (layout.heading_row, body(layout)) == (1, [2, 3])
    narrow = only_layout(
        sheet(f"Description,{load},WLL kg\nChain 10 mm G8,12600,3150"), overrides={"wll": "WLL kg"}
    )
    assert (narrow.heading_row, body(narrow)) == (1, [2])


def test_an_item_is_no_heading_for_all_its_words() -> None:
    text = 'Hook,Grade 80,3/8,"WLL 7,100 lb"\nHook,Grade 80,1/2,"WLL 12,000 lb"'
    assert body(only_layout(sheet(text))) == [1, 2]
    # part numbers that read as dimensions, below a line that is no heading
    text = "Stock of chain,,,,\nD1,Alloy chain,3/8,80,28400\nD2,Alloy chain,1/2,80,12000"
    layout = only_layout(sheet(text), overrides={"wll": "E", "unit": "lb"})
    assert layout.heading_row is None
    assert {2, 3} <= set(body(layout))


def test_only_the_heading_itself_is_a_repeated_heading() -> None:
    # row 3 says three of the four texts of the heading and is an item without a rating
    text = "Chain,Grade 80,Alloy,WLL lb\n3/8,80,Alloy,7100\nChain,Grade 80,Alloy,\nCHAIN,Grade  80,Alloy,WLL lb"
    layout = only_layout(sheet(text))
    assert body(layout) == [2, 3]
    assert dict(layout.skipped.rows()) == {1: "heading", 4: "heading repeated"}


def test_heading_words_cut_in_two_rows() -> None:
    layout = only_layout(
        sheet(
            "Part,Description,Working,Grade\nNumber,,Load Limit lb,\nA1,Grab hook 3/8,6600,70\nA2,Grab hook 1/2,11300,70"
        )
    )
    assert roles(layout) == {
        "Part Number": "part",
        "Description": "description",
        "Working Load Limit lb": "wll lb",
        "Grade": "grade",
    }


def test_corner_of_a_chart_heads_the_sizes() -> None:
    text = (
        "WLL in tonnes,1-leg,2-leg,2-leg\nChain dia,0,0-45,45-60\n8,2.0,2.8,2.0\n10,3.15,4.25,3.15"
    )
    layout = only_layout(sheet(text))
    assert [c.role for c in layout.columns] == ["size", "wll", "wll", "wll"]
    assert [c.unit for c in layout.having("wll")] == ["t", "t", "t"]
    assert body(layout) == [3, 4]
