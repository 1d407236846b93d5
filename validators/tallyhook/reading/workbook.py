"""Workbooks (XLSX, XLSM, XLSB, XLS, ODS) through calamine, opened only after a look inside.

Calamine lays a sheet out as one dense block, so a single stray cell in the last column of the last
row would ask for more memory than there is: the size of every sheet is checked first.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path, PurePosixPath
from typing import Any

import polars as pl
import python_calamine as calamine

from tallyhook.errors import StockListError
from tallyhook.reading.compound import has_endless_chain
from tallyhook.reading.records import cell_text
from tallyhook.reading.sheet import Sheet, check_shape, frame_of_rows, number_rows

__all__ = ["read_workbook"]

_MOST_BYTES = 4 * 2**30  # unpacked; a million rows of forty columns take less
_MOST_RATIO = 400  # sheet XML packs to a tenth or a fiftieth, a bomb to a thousandth
_SMALL = 64 * 2**20
_MOST_CELLS = 100_000_000


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
        hidden = _look_inside(path, where)
    elif has_endless_chain(path):
        raise _damaged(where, "its parts follow each other in a circle")
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
        raise _damaged(where, error) from None
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


def _damaged(where: str, error: object) -> StockListError:
    reason = (str(error).splitlines() or [""])[0].rstrip(".")
    return StockListError(
        f"the workbook cannot be opened ({reason})",
        where=where,
        next_step="open it in a spreadsheet program and save it again as XLSX or CSV",
    )


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
        raise _damaged(where, error) from None
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


def _look_inside(path: Path, where: str) -> dict[str, frozenset[int]]:
    """Refuse bombs and oversized sheets, and find the hidden rows of each sheet."""
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            unpacked = sum(e.file_size for e in entries)
            packed = max(1, sum(e.compress_size for e in entries))
            if unpacked > _MOST_BYTES or (unpacked > _SMALL and unpacked / packed > _MOST_RATIO):
                raise StockListError(
                    f"the workbook unpacks to {unpacked // 2**20} MiB, far more than a list needs",
                    where=where,
                    next_step="save the list alone as CSV",
                )
            names = set(archive.namelist())
            if "content.xml" in names:
                return _ods_rows(archive, where)
            if not any(n.startswith("xl/") for n in names):
                raise StockListError(
                    "it is an archive and not a workbook",
                    where=where,
                    next_step="unpack it and name the list inside",
                )
            return {
                name: _xlsx_rows(archive, part, f"{where}, sheet '{name}'")
                for name, part in _xlsx_parts(archive).items()
                if part in names
            }
    except (zipfile.BadZipFile, EOFError, OSError, ET.ParseError, KeyError, ValueError) as error:
        raise _damaged(where, error) from None
    except (
        NotImplementedError,
        RuntimeError,
        zlib.error,
    ) as error:  # an unknown or encrypted packing
        raise _damaged(where, error) from None


def _xlsx_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    names = set(archive.namelist())
    if not {"xl/workbook.xml", "xl/_rels/workbook.xml.rels"} <= names:
        return {}  # XLSB keeps its parts in binary form
    relations = ET.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    targets = {r.get("Id"): str(r.get("Target", "")) for r in relations}
    parts = {}
    for element in ET.fromstring(archive.read("xl/workbook.xml")).iter():
        if not element.tag.endswith("}sheet"):
            continue
        key = next((v for k, v in element.attrib.items() if k.endswith("}id")), None)
        target = targets.get(key, "")
        path = target.lstrip("/") if target.startswith("/") else str(PurePosixPath("xl") / target)
        parts[str(element.get("name"))] = path
    return parts


def _chunks(archive: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    """Give the XML in pieces that end after a tag."""
    rest = b""
    with archive.open(part) as stream:
        while block := stream.read(2**22):
            block = rest + block
            cut = block.rfind(b">") + 1
            rest = block[cut:]
            yield block[:cut]
    yield rest


_ROW = re.compile(rb"<(?:\w+:)?row\b([^>]*)>")
_ROW_NUMBER = re.compile(rb'\br="(\d+)"')
_ROW_HIDDEN = re.compile(rb'\bhidden="(?:1|true)"')
_FAR_CELL = re.compile(rb'<(?:\w+:)?c\b[^>]*\br="([A-Z]{2,3})\d+"[^>]*[^/]>')


def _xlsx_rows(archive: zipfile.ZipFile, part: str, where: str) -> frozenset[int]:
    hidden, number, widest = set(), 0, 26
    for chunk in _chunks(archive, part):
        for match in _ROW.finditer(chunk):
            found = _ROW_NUMBER.search(match[1])
            number = int(found[1]) if found else number + 1
            if _ROW_HIDDEN.search(match[1]):
                hidden.add(number)
        for letters in set(_FAR_CELL.findall(chunk)):
            widest = max(widest, _column_number(letters.decode()))
    _refuse_large(number, widest, where)
    return frozenset(hidden)


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def _refuse_large(rows: int, columns: int, where: str) -> None:
    if rows * columns > _MOST_CELLS or columns > 5000:
        raise StockListError(
            f"the sheet spans {rows} rows and {columns} columns, more than can be read",
            where=where,
            next_step="clear the stray cells beyond the list, or save the list as CSV",
        )


_ODS_TAG = re.compile(rb"<table:(table-row|table-cell|table)(?=[\s/>])([^>]*?)(/?)>")
_ODS_NAME = re.compile(rb'\btable:name="([^"]*)"')
_ODS_ROWS = re.compile(rb'\btable:number-rows-repeated="(\d+)"')
_ODS_CELLS = re.compile(rb'\btable:number-columns-repeated="(\d+)"')
_ODS_HIDDEN = re.compile(rb'\btable:visibility="(?:collapse|filter)"')


def _ods_rows(archive: zipfile.ZipFile, where: str) -> dict[str, frozenset[int]]:
    hidden: dict[str, frozenset[int]] = {}
    name, current, row, last, column, widest, repeat = "", set[int](), 0, 0, 0, 1, 1
    for chunk in _chunks(archive, "content.xml"):
        for match in _ODS_TAG.finditer(chunk):
            kind, attributes = match[1], match[2]
            if kind == b"table":
                found = _ODS_NAME.search(attributes)
                name = _unescape(found[1]) if found else ""
                current, row, last, widest = set(), 0, 0, 1
            elif kind == b"table-row":
                row += repeat if last or row else 0
                times = _ODS_ROWS.search(attributes)
                row, repeat, column = row if row else 1, int(times[1]) if times else 1, 0
                if _ODS_HIDDEN.search(attributes) and repeat < 2**20:
                    current.update(range(row, row + repeat))
                last = row
                hidden[name] = frozenset(current)
            else:
                times = _ODS_CELLS.search(attributes)
                column += int(times[1]) if times else 1
                if b"office:value" in attributes:
                    widest = max(widest, column)
                    _refuse_large(row + repeat - 1, widest, where)
    return hidden


def _unescape(raw: bytes) -> str:
    import html

    return html.unescape(raw.decode("utf-8", errors="replace"))
