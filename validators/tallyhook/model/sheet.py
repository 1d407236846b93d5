"""The sheet: rows of text cells, each with the row number that a person sees."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import polars as pl

from tallyhook.model.place import sheet_place

__all__ = ["HIDDEN", "Sheet"]

HIDDEN = "hidden"
"""Why a hidden sheet is left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One table of text cells.

    `frame` has ``row`` (the number the spreadsheet shows) and ``c0`` .. ``cN`` (cell text as
    stored, ``""`` for an empty cell). `merged` holds merged cells as (first row, first column, last
    row, last column), rows as shown and columns counted from 0. `stored_numbers` names the columns
    whose numbers were stored as numbers, so that their point is surely a decimal point.
    `heading_row` is set when the format itself names its columns. `left_out` names sheets of the
    same workbook that are not looked at, each with the reason. `index` is the index of the pandas
    frame that it was taken from; its first record stands below `heading_row`, in row 1 without.
    """

    file: str
    name: str | None
    frame: pl.DataFrame = field(repr=False)
    hidden: frozenset[int] = frozenset()
    merged: tuple[tuple[int, int, int, int], ...] = ()
    stored_numbers: frozenset[str] = frozenset()
    heading_row: int | None = None
    left_out: tuple[tuple[str, str], ...] = ()
    index: Any = field(default=None, repr=False)

    @property
    def where(self) -> str:
        """The file and sheet, for messages."""
        return sheet_place(self.file, self.name) if self.name else self.file
