"""Which rows are items, and what the others are."""

from __future__ import annotations

from pathlib import Path

import polars as pl

from stock_sheets import body, only_layout, sheet
from tallyhook.errors import StockListError
from tallyhook.reading.lists import read_list
from tallyhook.recognising.layouts import layouts_of_sheet


def test_rows_that_are_no_items() -> None:
    text = """
Harrow & Pike Rigging,,
Stock list,,

Item,Size,WLL lb
GRADE 80,,
Clevis hooks,,
Grab hook,3/8,7100
Subtotal,,7100
Eye hooks,,
Grab hook,1/2,12000
Item,Size,WLL lb
See page 12 for details of grade 100 hooks.,,
GRADE 100,,
Grab hook,3/8,8800
Grand total,3,27900
* Prices on request,,
"""
    layout = only_layout(sheet(text))
    found = dict(zip(body(layout), layout.body["section"], strict=True))
    assert found == {7: "GRADE 80 | Clevis hooks", 10: "GRADE 80 | Eye hooks", 14: "GRADE 100"}
    assert dict(layout.skipped.rows()) == {
        1: "title above the heading",
        2: "title above the heading",
        3: "title above the heading",
        4: "heading",
        5: "section heading",
        6: "section heading",
        8: "total",
        9: "section heading",
        11: "heading repeated",
        12: "note",
        13: "section heading",
        15: "total",
        16: "note",
    }


def test_every_row_is_body_or_skipped_once() -> None:
    corpus = Path(__file__).resolve().parents[1] / "corpus"
    for folder in sorted(p.parent for p in corpus.glob("*/expected.csv")):
        for one in read_list(next(folder.glob("list.*"))):
            try:
                layouts = layouts_of_sheet(one)
            except StockListError:
                continue
            rows = pl.concat(
                [f.select("row") for one_ in layouts for f in (one_.body, one_.skipped)]
            )
            assert sorted(rows["row"].to_list()) == one.frame["row"].to_list(), folder.name
            assert all(c.why for layout in layouts for c in layout.columns)


def test_a_comma_in_an_unquoted_number() -> None:
    layout = only_layout(
        sheet("Item,Size,Grade,WLL lb\nChain,1/4,30,880\nChain,3/8,80,7,100\nChain,1/2,80,12,000")
    )
    assert body(layout) == [2]
    assert [w for w in layout.skipped["why"] if w != "heading"] == [
        "more cells than headings: a comma inside a number was taken for a separator"
    ] * 2
