"""The shape of what is read: rows of text numbered as a person sees them, and no wider or longer
than a stock list can be.
"""

from __future__ import annotations

from collections.abc import Sequence

import polars as pl

from tallyhook.bounds import refuse_beyond
from tallyhook.errors import StockListError
from tallyhook.messages import say

__all__ = [
    "LARGEST_CELL",
    "MOST_COLUMNS",
    "check_shape",
    "check_width",
    "frame_of_rows",
    "number_rows",
]

LARGEST_CELL = 32_767
"""Characters that a spreadsheet cell can hold; a longer one is a quote mark never closed."""

MOST_COLUMNS = 500
"""No stock list is wider; a file that is has been read with the wrong separator or is not one."""


def number_rows(frame: pl.DataFrame, first: int = 1) -> pl.DataFrame:
    """Put the row number in front of a frame of text, name the columns and fill the gaps."""
    frame = frame.rename({c: f"c{i}" for i, c in enumerate(frame.columns)})
    frame = frame.with_columns(pl.col(pl.String).fill_null(""))
    rows = pl.int_range(first, first + frame.height, dtype=pl.Int64, eager=True).alias("row")
    return frame.select([rows, *frame.get_columns()])


def frame_of_rows(rows: Sequence[Sequence[str]], width: int) -> pl.DataFrame:
    """Make a frame of text from rows of any length."""
    columns = [[r[i] if i < len(r) else "" for r in rows] for i in range(width)]
    return pl.DataFrame(
        {f"c{i}": pl.Series(column, dtype=pl.String) for i, column in enumerate(columns)}
    )


def check_width(columns: int, where: str) -> None:
    """Refuse more columns than a list has, before anything is built from them.

    Raises
    ------
    StockListError
        There are more than `MOST_COLUMNS`.
    """
    if columns > MOST_COLUMNS:
        raise StockListError(
            say(
                "it has {columns} columns, more than the {most} that are read",
                columns=columns,
                most=MOST_COLUMNS,
            ),
            where=where,
            next_step=say("keep only the columns of the list"),
        )


def check_shape(frame: pl.DataFrame, where: str) -> pl.DataFrame:
    """Drop empty columns at the right edge and refuse what cannot be a stock list.

    Raises
    ------
    StockListError
        Nothing is filled, a cell is longer than `LARGEST_CELL`, or there are too many columns.
    """
    cells = [c for c in frame.columns if c != "row"]
    longest = frame.select(pl.col(cells).str.len_chars().max()).row(0) if cells else ()
    while cells and not longest[len(cells) - 1]:
        cells.pop()
    if not cells or frame.height == 0:
        raise StockListError(
            say("it holds no rows"), where=where, next_step=say("check that it is the list")
        )
    check_width(len(cells), where)
    refuse_beyond("rows", say("{n:,} rows", n=frame.height), frame.height, where=where)
    for column, length in zip(cells, longest, strict=False):
        if length and length > LARGEST_CELL:
            row = frame.filter(pl.col(column).str.len_chars() == length)["row"][0]
            raise StockListError(
                say(
                    "a cell holds {length} characters, more than a spreadsheet cell can",
                    length=length,
                ),
                where=say("{place}, row {row}", place=where, row=row),
                next_step=say("look for a quote mark that is never closed there"),
            )
    return frame.select(["row", *cells])
