"""Which lines head the rows below them."""

from __future__ import annotations

import pytest

from stock_sheets import only_layout, sheet


def test_a_code_and_capitals_head_a_group() -> None:
    text = "Code,Description,Size,WLL (kg),Qty\n100,CHAIN GRADE 80,,,\n101,Short link chain,8 mm,2000,5\n102,Short link chain,10 mm,3150,5\n200,CHAIN GRADE 100,,,\n201,Short link chain,8 mm,2500,5"
    layout = only_layout(sheet(text))
    assert layout.body["section"].to_list() == [
        "CHAIN GRADE 80",
        "CHAIN GRADE 80",
        "CHAIN GRADE 100",
    ]


@pytest.mark.parametrize(
    "line",
    # that each names one size of chain, and so is no heading, is plain to a reader
    ["3/8 grade 100 alloy chain", "Kette 10 mm GK 10", "Grade 100 chain 3/8 in.", "CHAIN 1/2 G100"],
)
def test_an_item_with_a_blank_rating_heads_no_group(line: str) -> None:
    text = f"Description,WLL lb\n3/8 grade 80 chain,7100\n{line},\n3/8 alloy chain,8800"
    layout = only_layout(sheet(text))
    assert layout.body.select("row", "section").rows() == [(2, None), (3, None), (4, None)]
    # in a list with a column of sizes neither
    text = f"Description,Size,WLL lb\nGrade 80 chain,3/8,7100\n{line},,\nAlloy chain,3/8,8800"
    assert only_layout(sheet(text)).body["section"].to_list() == [None, None, None]


@pytest.mark.parametrize("line", ["Grade 100 alloy chain", "GRADE 100", "G100 chain 1/4 - 3/4"])
def test_a_grade_without_a_size_heads_the_rows_below_it(line: str) -> None:
    text = f"Description,WLL lb\n3/8 grade 80 chain,7100\n{line},\n3/8 alloy chain,8800"
    layout = only_layout(sheet(text))
    assert layout.body.select("row", "section").rows() == [(2, None), (4, line)]
    # over rows that do not name sizes, a size heads them, too
    sized = only_layout(sheet("Description,WLL lb\n3/8 chain,\nGrade 80,7100\nGrade 100,8800"))
    assert sized.body["section"].to_list() == ["3/8 chain", "3/8 chain"]


@pytest.mark.parametrize(
    "line",
    [
        "Also available in grade 100",
        "Grade 100 on request",
        "Grade 100 siehe Seite 12",
        "Nur Güteklasse 10 lieferbar",
        "Classe 10 sur demande",
    ],
)
def test_a_sentence_heads_no_group(line: str) -> None:
    layout = only_layout(
        sheet(f"Item,Size,WLL lb\nGRADE 80,,\nGrab hook,3/8,7100\n{line},,\nGrab hook,1/2,12000")
    )
    assert layout.body["section"].to_list() == ["GRADE 80", "GRADE 80"]
