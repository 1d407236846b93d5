"""The sheet: rows of text cells, each with the row number that a person sees."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import polars as pl

from tallyhook.messages import to_say
from tallyhook.model.place import sheet_place

__all__ = ["BY_NAME", "HIDDEN", "LEFT_OUT", "NO_RATINGS", "RATINGS", "LeftOut", "Sheet"]

HIDDEN = to_say("hidden")
"""Why a hidden sheet is left out."""

BY_NAME = to_say("left out by name")
"""Why a sheet or table is left out that a person wants to be."""

RATINGS, NO_RATINGS, LEFT_OUT = "looks_like_ratings", "holds_no_ratings", "left_out_by_name"
"""What a sheet or table that was not checked is; only the first makes a check incomplete."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A sheet, or a table of one, that was not checked.

    `row` is the first of the table, and None for a whole sheet; `sheet` is None in a list that has
    none. `why` is `HIDDEN`, `BY_NAME` or a clause, `state` one of `RATINGS`, `NO_RATINGS` and
    `LEFT_OUT`.
    """

    sheet: str | None
    row: int | None = None
    why: str
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One table of text cells.

    `frame` has ``row`` (the number the spreadsheet shows) and ``c0`` .. ``cN`` (cell text as
    stored, ``""`` for an empty cell). `merged` holds merged cells as (first row, first column, last
    row, last column), rows as shown and columns counted from 0. `stored_numbers` names the columns
    whose numbers were stored as numbers, so that their point is surely a decimal point.
    `heading_row` is set when the format itself names its columns. `left_out` names sheets of the
    same workbook, and tables, that are not checked. `is_hidden` tells that the workbook does not
    show the sheet. `index` is the index of the pandas
    frame that it was taken from; its first record stands below `heading_row`, in row 1 without.
    """

    file: str
    name: str | None
    frame: pl.DataFrame = field(repr=False)
    hidden: frozenset[int] = frozenset()
    merged: tuple[tuple[int, int, int, int], ...] = ()
    stored_numbers: frozenset[str] = frozenset()
    heading_row: int | None = None
    left_out: tuple[LeftOut, ...] = ()
    is_hidden: bool = False
    index: Any = field(default=None, repr=False)

    @property
    def where(self) -> str:
        """The file and sheet, for messages."""
        return sheet_place(self.file, self.name) if self.name else self.file
