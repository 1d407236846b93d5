"""Sheets of invented lists (Harrow & Pike Rigging), and what was recognised in them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import openpyxl

from tallyhook.model.layout import Layout
from tallyhook.model.sheet import Sheet
from tallyhook.reading.lists import read_list
from tallyhook.reading.shape import check_shape
from tallyhook.reading.text import text_frame
from tallyhook.recognising.layouts import layouts_of_sheet


def sheet(text: str) -> Sheet:
    """A sheet from the text of a CSV file."""
    frame, _ = text_frame(text.strip("\n") + "\n", "list")
    return Sheet(file="list", name=None, frame=check_shape(frame, "list"))


def workbook(
    tmp_path: Path, rows: Sequence[Sequence[object]], *merged: str, title: str = "Sheet1"
) -> Sheet:
    """A sheet of a workbook, with merged cells."""
    book = openpyxl.Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(list(row))
    for cells in merged:
        book.active.merge_cells(cells)
    book.save(tmp_path / "list.xlsx")
    (found,) = read_list(tmp_path / "list.xlsx")
    return found


def only_layout(sheet: Sheet, *, overrides: Mapping[str, str] | None = None) -> Layout:
    """The layout of a sheet with one table."""
    (found,) = layouts_of_sheet(sheet, overrides=overrides)
    return found


def roles(layout: Layout) -> dict[str, str]:
    """Each heading with its role and unit."""
    return {c.heading: f"{c.role} {c.unit}" if c.unit else c.role for c in layout.columns}


def gives(layout: Layout) -> list[dict[str, str]]:
    """What the headings of the ratings fix."""
    return [dict(c.gives) for c in layout.having("wll")]


def body(layout: Layout) -> list[int]:
    """The rows of the items."""
    return layout.body["row"].to_list()
