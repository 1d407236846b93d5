"""What is said of a list as a whole: counts, hidden rows and sheets, and rows without an item."""

from __future__ import annotations

from dataclasses import replace

import polars as pl
import pytest

from tallyhook.model.layout import Layout
from tallyhook.model.sheet import BY_NAME, HIDDEN, LEFT_OUT, NO_RATINGS, RATINGS, LeftOut
from tallyhook.reading.lists import sheet_from_frame
from tallyhook.recognising.layouts import layouts_of_sheet
from tallyhook.reporting.list_text import counts_text, passed_over, unchecked


def layout(*, hidden: tuple[int, ...] = (), left_out: tuple[LeftOut, ...] = ()) -> Layout:
    # EN 818-2 rates 10 mm grade 80 chain at 3150 kg and 13 mm at 5300 kg
    frame = pl.DataFrame({"Chain": ["10 mm G8", "13 mm G8"] * 3, "WLL kg": [3150, 5300] * 3})
    sheet = sheet_from_frame(frame)
    (only,) = layouts_of_sheet(
        replace(sheet, hidden=frozenset(hidden), left_out=left_out, name="Stock")
    )
    return only


def sheet(name: str, why: str, *, state: str = RATINGS, row: int | None = None) -> LeftOut:
    return LeftOut(sheet=name, why=why, state=state, row=row)


@pytest.mark.parametrize(
    ("hidden", "left_out", "said"),
    [
        ((), (), ""),
        (
            (3,),
            (),
            "1 hidden row (3 of 'Stock') was not checked; to check them, unhide the rows",
        ),
        (
            (3, 4),
            (sheet("Old", HIDDEN),),
            "2 hidden rows (3-4 of 'Stock') and 1 hidden sheet ('Old') were not checked; "
            "to check them, unhide the rows or name a sheet with --sheet",
        ),
        (
            (),
            (
                sheet("Old", HIDDEN),
                sheet("Older", HIDDEN, state=NO_RATINGS),
                sheet("Prices", "it holds no loads", state=NO_RATINGS),
            ),
            "2 hidden sheets ('Old', 'Older') and 1 other sheet ('Prices': it holds no loads) "
            "were not checked; to check them, name a sheet with --sheet, and its columns with --column",
        ),
        (
            (),
            (sheet("Stock", "it holds no loads", row=40),),
            "1 table ('Stock!row 40': it holds no loads) was not checked; to check them, put a "
            "table on a sheet of its own",
        ),
        (
            (),
            (
                sheet("Prices", BY_NAME, state=LEFT_OUT),
                sheet("Stock", BY_NAME, state=LEFT_OUT, row=40),
            ),
            "2 left out by name ('Prices', 'Stock!row 40') were not checked",
        ),
    ],
)
def test_what_was_not_checked(
    hidden: tuple[int, ...], left_out: tuple[LeftOut, ...], said: str
) -> None:
    assert unchecked([layout(hidden=hidden, left_out=left_out)]) == said


def test_rows_without_an_item_are_named_by_reason() -> None:
    assert passed_over(layout(hidden=(3, 4))) == [
        {"why": "heading", "title": "heading", "rows": [1]},
        {"why": "hidden row", "title": "hidden row", "rows": [3, 4]},
    ]


def test_the_counts_stand_in_one_sentence() -> None:
    counts = {"rows": 12, "agree": 7, "contradicted": 3, "not_compared": 2}
    assert counts_text(counts) == "7 agree, 3 contradicted, 2 not compared, 12 items in all"
