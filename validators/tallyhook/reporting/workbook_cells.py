"""Cells and sheets of a workbook that this package writes: a text is never a formula."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from tallyhook.controls import without_controls
from tallyhook.files import is_formula_like
from tallyhook.messages import say

if TYPE_CHECKING:
    from openpyxl.cell import Cell
    from openpyxl.workbook import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

__all__ = [
    "LONGEST",
    "fill_rows",
    "font",
    "free_title",
    "legal_text",
    "letter",
    "link_to",
    "new_sheet",
    "set_cell",
]

_ILLEGAL = re.compile(r"[\ud800-\udfff\ufffe\uffff]")

LONGEST = 32_000
"""Letters of a text that a cell or a comment has room for."""


def legal_text(text: str) -> str:
    """Give a text without what a workbook cannot hold, and no longer than it can."""
    return _ILLEGAL.sub("\ufffd", without_controls(text))[:LONGEST]


def set_cell(cell: Cell, value: Any) -> None:
    """Put a value into a cell; a text is a text whatever it begins with."""
    if not isinstance(value, str):
        cell.value = value
        return
    text = legal_text(value)
    cell.value = text
    cell.data_type = "s"  # a text that begins with "=" was taken for a formula
    if is_formula_like(text):
        cell.quotePrefix = True


def free_title(book: Workbook, wanted: str) -> str:
    """A sheet title that a workbook accepts and does not have yet."""
    base = re.sub(
        r"[\[\]:*?/\\]", " ", _ILLEGAL.sub("", without_controls(wanted)).replace("\ufffd", "")
    ).strip(" '")[:31] or say("List")
    taken = {name.casefold() for name in book.sheetnames}
    title, number = base, 2
    while title.casefold() in taken:
        title = f"{base[: 31 - len(str(number)) - 1]} {number}"
        number += 1
    return title


def letter(column: int) -> str:
    """Give the letter of a column, counted from 1."""
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(column))


def font(**style: Any) -> Any:
    """Give the font of our sheets in some style."""
    from openpyxl.styles import Font

    return Font(name="Calibri", size=11, **style)


def new_sheet(book: Workbook, title: str, head: list[tuple[str, int]]) -> Worksheet:
    """Add a sheet of ours; `head` is what stands over each column, and how wide it is."""
    sheet = book.create_sheet(free_title(book, title))
    for number, (name, width) in enumerate(head, start=1):
        cell = sheet.cell(row=1, column=number)
        set_cell(cell, name)
        cell.font = font(bold=True)
        sheet.column_dimensions[letter(number)].width = width
    sheet.freeze_panes = "A2"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth = 1
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"
    return sheet


def fill_rows(sheet: Worksheet, rows: Iterable[list[Any]], first: int = 2) -> None:
    """Write rows of texts, wrapped and as high as they need."""
    from openpyxl.styles import Alignment

    wrapped = Alignment(wrap_text=True, vertical="top", horizontal="left")
    for row, values in enumerate(rows, start=first):
        lines = 1
        for column, value in enumerate(values, start=1):
            if value is not None and value != "":
                cell = sheet.cell(row=row, column=column)
                set_cell(cell, value)
                cell.alignment = wrapped
                width = sheet.column_dimensions[letter(column)].width
                lines = max(lines, -(-len(str(value)) // max(int(0.85 * width), 1)))
        # not every program fits the height to wrapped text when it opens a file
        sheet.row_dimensions[row].height = 15 * min(lines, 26) + 1


def link_to(cell: Cell, title: str, row: int, column: int) -> None:
    """Link a cell to a cell of another sheet."""
    from openpyxl.worksheet.hyperlink import Hyperlink

    quoted = title.replace("'", "''")
    target = f"'{quoted}'!{letter(column)}{row}"
    cell.hyperlink = Hyperlink(ref=cell.coordinate, location=target, display=target)
    cell.font = font(color="0B57D0", underline="single")
