"""Workbooks (XLSX, XLSM, XLSB, XLS, ODS) through calamine, opened only after a look inside."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any

import polars as pl
import python_calamine as calamine

from tallyhook.errors import StockListError
from tallyhook.reading.compound import has_endless_chain
from tallyhook.reading.packed import damaged, look_inside
from tallyhook.reading.records import cell_text
from tallyhook.reading.sheet import Sheet, check_shape, frame_of_rows, number_rows

__all__ = ["read_workbook"]


def read_workbook(path: Path, *, sheet: str | None = None) -> list[Sheet]:
    """Read the sheets of a workbook; hidden sheets only when they are asked for by name.

    Raises
    ------
    StockListError
        The workbook is damaged, protected by a password, far too large, or holds no rows.
    """
    where = str(path)
    hidden: dict[str, frozenset[int]] = {}
    if zipfile.is_zipfile(path):
        hidden = look_inside(path, where)
    elif has_endless_chain(path):
        raise damaged(where, "its parts follow each other in a circle")
    try:
        book = calamine.CalamineWorkbook.from_path(str(path))
    except calamine.PasswordError:
        raise StockListError(
            "the workbook is protected by a password",
            where=where,
            next_step="save a copy without a password",
        ) from None
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as error:  # several kinds, and panics, which are no Exception
        raise damaged(where, error) from None
    with book:
        sheets = [
            found
            for name in _names(book, sheet, where)
            if (found := _read_sheet(book, name, path, hidden.get(name, frozenset()))) is not None
        ]
    if not sheets:
        raise StockListError(
            "no sheet holds any rows", where=where, next_step="check that it is the list"
        )
    return sheets


def _names(book: calamine.CalamineWorkbook, sheet: str | None, where: str) -> list[str]:
    worksheets = [m for m in book.sheets_metadata if m.typ == calamine.SheetTypeEnum.WorkSheet]
    names = [m.name for m in worksheets]
    if sheet is not None:
        match = [n for n in names if n == sheet] or [
            n for n in names if n.strip().casefold() == sheet.strip().casefold()
        ]
        if not match:
            raise StockListError(
                f"there is no sheet '{sheet}'",
                where=where,
                next_step="the sheets are " + ", ".join(f"'{n}'" for n in names),
            )
        return match[:1]
    visible = [m.name for m in worksheets if m.visible == calamine.SheetVisibleEnum.Visible]
    return visible or names


def _read_sheet(
    book: calamine.CalamineWorkbook, name: str, path: Path, hidden: frozenset[int]
) -> Sheet | None:
    where = f"{path}, sheet '{name}'"
    try:
        data = book.get_sheet_by_name(name)
        rows: list[list[Any]] = data.to_python(skip_empty_area=False)
        merged = data.merged_cell_ranges or []
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as error:
        raise damaged(where, error) from None
    width = max((len(r) for r in rows), default=0)
    texts = [[cell_text(v) for v in r] for r in rows]
    if not any(map(any, texts)):
        return None
    frame = check_shape(number_rows(frame_of_rows(texts, width)), where)
    return Sheet(
        file=str(path),
        name=name,
        frame=frame,
        hidden=hidden,
        merged=tuple((a + 1, b, c + 1, d) for (a, b), (c, d) in merged),
        stored_numbers=_number_columns(rows, frame),
    )


_PLAIN_NUMBER = re.compile(r"\s*+-?\d[\d.,' ]*+\s*+")


def _number_columns(rows: list[list[Any]], frame: pl.DataFrame) -> frozenset[str]:
    """Find the columns in which nothing that looks like a number was stored as text."""
    found = set()
    for i, column in enumerate(frame.columns[1:]):
        cells = [r[i] for r in rows if i < len(r)]
        stored = any(isinstance(v, (int, float)) and not isinstance(v, bool) for v in cells)
        if stored and not any(isinstance(v, str) and _PLAIN_NUMBER.fullmatch(v) for v in cells):
            found.add(column)
    return frozenset(found)
