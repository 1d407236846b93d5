"""The process that reads a workbook (XLSX, XLSM, XLSB, XLS, ODS) by calamine, started for each one.

Its memory is bounded: calamine believes what a damaged file says of its size, and ends the process
when it cannot have that much. Nothing heavy is imported, so that it starts quickly.
`tallyhook.reading.workbook_process` starts it and takes its answer.
"""

from __future__ import annotations

import contextlib
import io
import json
import pickle
import sys
import zipfile
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree as ET
from xml.parsers import expat

import python_calamine as calamine

from tallyhook.bounds import within_bounds
from tallyhook.errors import StockListError
from tallyhook.messages import in_language, say
from tallyhook.model.place import sheet_place
from tallyhook.reading.compound_file import has_endless_chain
from tallyhook.reading.failed_cells import Failures, failed_cells
from tallyhook.reading.zipped_workbook import damaged, hidden_rows, locked, refuse_large

__all__ = ["StoredSheet", "stored_sheets"]


_LEAST_MIB = 1_024  # to start the reader at all, however little a list may unpack to


class StoredSheet(NamedTuple):
    """A sheet of a workbook: its cells from A1 on, as the file has them."""

    name: str
    rows: list[list[Any]]
    hidden: frozenset[int]
    """Rows that are not shown, counted from 1."""
    merged: list[tuple[tuple[int, int], tuple[int, int]]]
    """First and last cell of each merged block, row before column, counted from 0."""
    shown: bool = True
    """Whether the workbook shows the sheet, or it was asked for."""
    unread: str = ""
    """Why a sheet that is not shown could not be read; any other is refused."""


def stored_sheets(path: Path, sheet: str | None) -> list[StoredSheet]:
    """Read one sheet, or all; those that are not shown are marked.

    Raises
    ------
    StockListError
        The workbook is damaged, protected by a password, far too large, or has no such sheet.
    """
    where = str(path)
    hidden: dict[str, frozenset[int]] = {}
    if zipfile.is_zipfile(path):
        hidden = hidden_rows(path, where)
    elif has_endless_chain(path):
        raise damaged(where, say("its parts follow each other in a circle"))
    with _opened(path) as book:
        names, not_shown = _names(book, sheet, where)
        found = [_stored(book, name, where, hidden.get(name, frozenset())) for name in names]
        found += [_not_shown(book, name, where, hidden) for name in not_shown]
    try:
        failed = failed_cells(path)
    except (KeyError, OSError, ValueError, ET.ParseError, expat.ExpatError, zlib.error) as error:
        raise damaged(where, error) from None
    for each in found:
        _show(failed.get(each.name, {}), each.rows)
    return found


def _show(failed: Failures, rows: list[list[Any]]) -> None:
    """Put what a spreadsheet shows into the cells of which the library gave nothing."""
    for (row, column), text in failed.items():
        if row <= len(rows) and column <= len(rows[row - 1]) and rows[row - 1][column - 1] == "":
            rows[row - 1][column - 1] = text


def _opened(path: Path) -> calamine.CalamineWorkbook:
    try:
        # a stream is taken for what it holds: many an XLSX is called list.xls
        with contextlib.suppress(Exception):
            return calamine.CalamineWorkbook.from_filelike(io.BytesIO(path.read_bytes()))
        return calamine.CalamineWorkbook.from_path(str(path))  # by its name, and says what is amiss
    except calamine.PasswordError:
        raise locked(str(path)) from None
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as error:  # several classes, and panics, which are no Exception
        raise damaged(str(path), error) from None


def _names(
    book: calamine.CalamineWorkbook, sheet: str | None, where: str
) -> tuple[list[str], list[str]]:
    """Name the sheets to check, and those that are not shown."""
    worksheets = [m for m in book.sheets_metadata if m.typ == calamine.SheetTypeEnum.WorkSheet]
    names = [m.name for m in worksheets]
    if sheet is not None:
        match = [n for n in names if n == sheet] or [
            n for n in names if n.strip().casefold() == sheet.strip().casefold()
        ]
        if not match:
            raise StockListError(
                say("there is no sheet '{sheet}'", sheet=sheet),
                where=where,
                next_step=say("the sheets are {sheets}", sheets=", ".join(f"'{n}'" for n in names)),
            )
        return match[:1], []
    visible = [m.name for m in worksheets if m.visible == calamine.SheetVisibleEnum.Visible]
    return (visible, [n for n in names if n not in visible]) if visible else (names, [])


def _stored(
    book: calamine.CalamineWorkbook,
    name: str,
    where: str,
    hidden: frozenset[int],
) -> StoredSheet:
    where = sheet_place(where, name)
    try:
        data = book.get_sheet_by_name(name)
        row, column = data.end or (0, 0)
        refuse_large(row + 1, column + 1, where)
        rows = data.to_python(skip_empty_area=False)
        merged = list(data.merged_cell_ranges or [])
        return StoredSheet(name, rows, hidden, merged)
    except (KeyboardInterrupt, SystemExit, StockListError):
        raise
    except BaseException as error:
        raise damaged(where, error) from None


def _not_shown(
    book: calamine.CalamineWorkbook, name: str, where: str, hidden: Mapping[str, frozenset[int]]
) -> StoredSheet:
    """Read a sheet that is not checked, to see what it holds; what is amiss refuses no list."""
    try:
        stored = _stored(book, name, where, hidden.get(name, frozenset()))
    except StockListError as error:
        return StoredSheet(name, [], frozenset(), [], shown=False, unread=error.what)
    return stored._replace(shown=False)


def _bound_memory(wanted: int) -> None:
    """Bound the memory of this process, in bytes; a million rows take 0.12 GB a column."""
    try:
        import resource
    except ImportError:  # Windows has none, and refuses by itself what is more than there is
        return
    with contextlib.suppress(ValueError, OSError):
        _, most = resource.getrlimit(resource.RLIMIT_AS)
        bound = wanted if most == resource.RLIM_INFINITY else min(wanted, most)
        resource.setrlimit(resource.RLIMIT_AS, (bound, most))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def main() -> None:
    """Read path, sheet, language and bounds from standard input, and answer in plain values."""
    path, sheet, spoken, most = json.load(sys.stdin)
    _bound_memory(max(most["mib"], _LEAST_MIB) * 2**20)
    answer: tuple[str, Any]
    try:
        with in_language(*spoken), within_bounds(most):
            answer = "sheets", [tuple(s) for s in stored_sheets(Path(path), sheet)]
    except StockListError as error:
        answer = "refused", (error.what, error.where, error.next_step)
    pickle.dump(answer, sys.stdout.buffer, protocol=5)


if __name__ == "__main__":
    main()
