"""A small writer of XLSB, by the open specification [MS-XLSB] (sections 2.1.4 and 2.4)."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Iterable, Sequence

__all__ = ["record", "text_cell", "workbook"]

_BEGIN_BOOK, _END_BOOK = 131, 132
_BEGIN_SHEETS, _END_SHEETS, _SHEET = 143, 144, 156
_BEGIN_SHEET, _END_SHEET = 129, 130
_SIZE = 148
_BEGIN_CELLS, _END_CELLS = 145, 146
_ROW, _REAL, _TEXT = 0, 5, 6

_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_BINARY = "application/vnd.ms-excel"
_TYPES = f"""<?xml version="1.0" encoding="UTF-8"?>
<Types xmlns="{_PACKAGE}/content-types">
<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>
<Default Extension="bin" ContentType="{_BINARY}.sheet.binary.macroEnabled.main"/>
<Override PartName="/xl/worksheets/sheet1.bin" ContentType="{_BINARY}.worksheet"/>
</Types>"""


def _relation(kind: str, target: str) -> str:
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="{_PACKAGE}/relationships">
<Relationship Id="rId1" Type="{_OFFICE}/{kind}" Target="{target}"/></Relationships>"""


def _seven_bits(number: int) -> bytes:
    found = bytearray()
    while True:
        number, low = number >> 7, number & 0x7F
        found.append(low | (0x80 if number else 0))
        if not number:
            return bytes(found)


def record(kind: int, content: bytes = b"") -> bytes:
    """One record: its kind, its length and its content."""
    return _seven_bits(kind) + _seven_bits(len(content)) + content


def _wide(text: str) -> bytes:
    return struct.pack("<I", len(text.encode("utf-16-le")) // 2) + text.encode("utf-16-le")


def text_cell(row: int, column: int, text: str) -> bytes:
    """The records of a row with one text in it, both counted from 0."""
    return _row(row, [column]) + record(_TEXT, struct.pack("<2I", column, 0) + _wide(text))


def _row(row: int, columns: Sequence[int]) -> bytes:
    spans = struct.pack("<I2I", 1, min(columns), max(columns))
    return record(_ROW, struct.pack("<2IHHB", row, 0, 300, 0, 0) + spans)


def _cells(rows: Iterable[Sequence[str | float]]) -> bytes:
    found = b""
    for number, cells in enumerate(rows):
        found += _row(number, range(len(cells)))
        for column, cell in enumerate(cells):
            place = struct.pack("<2I", column, 0)
            if isinstance(cell, str):
                found += record(_TEXT, place + _wide(cell))
            else:
                found += record(_REAL, place + struct.pack("<d", cell))
    return found


def workbook(rows: Sequence[Sequence[str | float]], *, more: bytes = b"") -> bytes:
    """A workbook of one sheet with these cells, and `more` records behind them."""
    wide = max(map(len, rows))
    book = (
        record(_BEGIN_BOOK)
        + record(_BEGIN_SHEETS)
        + record(_SHEET, struct.pack("<2I", 0, 1) + _wide("rId1") + _wide("List"))
        + record(_END_SHEETS)
        + record(_END_BOOK)
    )
    sheet = (
        record(_BEGIN_SHEET)
        + record(_SIZE, struct.pack("<4I", 0, len(rows) - 1, 0, wide - 1))
        + record(_BEGIN_CELLS)
        + _cells(rows)
        + more
        + record(_END_CELLS)
        + record(_END_SHEET)
    )
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", _TYPES)
        archive.writestr("_rels/.rels", _relation("officeDocument", "xl/workbook.bin"))
        archive.writestr("xl/workbook.bin", book)
        archive.writestr(
            "xl/_rels/workbook.bin.rels", _relation("worksheet", "worksheets/sheet1.bin")
        )
        archive.writestr("xl/worksheets/sheet1.bin", sheet)
    return packed.getvalue()
