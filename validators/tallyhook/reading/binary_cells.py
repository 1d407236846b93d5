"""The failed cells of binary workbooks: XLS (BIFF8, [MS-XLS] and [MS-CFB]) and XLSB ([MS-XLSB]).

Both are rows of records, a kind and a length before each. A file that is too damaged to be followed
gives what was found up to there; the library that reads its cells says what is wrong with it.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

__all__ = ["binary_names", "xls_failures", "xlsb_failures"]

_SHOWN = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
    0x2B: "#GETTING_DATA",
}
"""What a spreadsheet shows for each number of an error ([MS-XLS] 2.5.10 BErr)."""


def _shown(code: int) -> str:
    return _SHOWN.get(code, "#ERROR!")


# --- XLSB

_ROW, _ERROR, _FORMULA_ERROR, _SHEET = 0, 3, 11, 156


def _records(data: bytes) -> Iterator[tuple[int, int, int]]:
    """Give the kind of each record of XLSB, and where its content begins and ends."""
    at, end = 0, len(data)
    while at < end:
        kind = data[at]
        at += 1
        if kind & 0x80 and at < end:
            kind = (kind & 0x7F) | (data[at] & 0x7F) << 7
            at += 1
        length = 0
        for shift in (0, 7, 14, 21):
            if at >= end:
                return
            byte = data[at]
            at += 1
            length |= (byte & 0x7F) << shift
            if not byte & 0x80:
                break
        yield kind, at, min(at + length, end)
        at += length


def xlsb_failures(data: bytes) -> dict[tuple[int, int], str]:
    """Find the failed cells of a sheet of XLSB, row and column counted from 1."""
    found, row = {}, 0
    for kind, start, end in _records(data):
        if kind == _ROW and end - start >= 4:
            row = struct.unpack_from("<I", data, start)[0] + 1
        elif kind in (_ERROR, _FORMULA_ERROR) and end - start >= 9:
            column = struct.unpack_from("<I", data, start)[0] + 1
            found[row, column] = _shown(data[start + 8])
    return found


def binary_names(data: bytes) -> Iterator[tuple[str, str]]:
    """Give the name of each sheet in the part ``workbook.bin`` of XLSB, and its relation."""
    for kind, start, end in _records(data):
        if kind != _SHEET:
            continue
        texts, at = [], start + 8
        for _ in range(2):
            if at + 4 > end:
                break
            length = 2 * struct.unpack_from("<I", data, at)[0]
            texts.append(data[at + 4 : at + 4 + length].decode("utf-16-le", errors="replace"))
            at += 4 + length
        if len(texts) == 2:
            yield texts[1], texts[0]


# --- XLS

_BOF, _EOF, _BOUND_SHEET, _BOOL_ERROR, _FORMULA = 0x809, 0x0A, 0x85, 0x205, 0x06
_MINI_STREAM = 4096


def xls_failures(data: bytes) -> Iterator[tuple[str, dict[tuple[int, int], str]]]:
    """Give the name of each sheet of XLS and its failed cells, row and column counted from 1."""
    try:
        stream = _book(data)
    except (struct.error, IndexError):
        return
    walked = 0
    for kind, _, content in _biff(stream, 0):
        # the sheets of a sound file lie one behind the other
        if kind == _EOF or walked > len(stream):
            return
        if kind == _BOUND_SHEET and len(content) > 8:
            (start,) = struct.unpack_from("<I", content)
            wide = content[7] & 1
            raw = content[8 : 8 + content[6] * (2 if wide else 1)]
            name = raw.decode("utf-16-le" if wide else "latin-1", errors="replace")
            found, end = _of_sheet(stream, start)
            walked += end - start
            yield name, found


def _of_sheet(stream: bytes, start: int) -> tuple[dict[tuple[int, int], str], int]:
    found, depth, end = {}, 0, start
    for kind, end, content in _biff(stream, start):  # noqa: B007
        depth += (kind == _BOF) - (kind == _EOF)
        if depth <= 0:
            break
        if depth > 1 or len(content) < 8:
            continue  # a chart in the sheet
        row, column = struct.unpack_from("<2H", content)
        if kind == _BOOL_ERROR and content[7]:
            found[row + 1, column + 1] = _shown(content[6])
        elif kind == _FORMULA and content[6:7] == b"\x02" and content[12:14] == b"\xff\xff":
            found[row + 1, column + 1] = _shown(content[8])
    return found, end


def _biff(stream: bytes, at: int) -> Iterator[tuple[int, int, bytes]]:
    while at + 4 <= len(stream):
        kind, length = struct.unpack_from("<2H", stream, at)
        yield kind, at, stream[at + 4 : at + 4 + length]
        at += 4 + length


def _book(data: bytes) -> bytes:
    """Take the stream ``Workbook`` out of a compound file ([MS-CFB]) without circles."""
    shift, directory, mini, more = struct.unpack_from("<30xH16xI8xI4xI", data)
    if not 7 <= shift <= 16:
        return b""
    size = 1 << shift

    def sector(number: int) -> bytes:
        return data[(number + 1) * size : (number + 2) * size]

    def numbers(raw: bytes) -> tuple[int, ...]:
        return struct.unpack(f"<{len(raw) // 4}I", raw[: len(raw) // 4 * 4])

    listed = list(struct.unpack_from("<109I", data, 76))
    while block := numbers(sector(more)):
        listed += block[:-1]
        more = block[-1]
    table = [n for s in dict.fromkeys(listed) if s < 2**32 - 6 for n in numbers(sector(s))]

    def chain(start: int) -> bytes:
        parts = []
        while start < len(table):
            parts.append(sector(start))
            start = table[start]
        return b"".join(parts)

    entries = chain(directory)
    root, found = (0, 0), (0, 0)
    for at in range(0, len(entries) - 127, 128):
        named = entries[at : at + max(0, struct.unpack_from("<H", entries, at + 64)[0] - 2)]
        place = struct.unpack_from("<2I", entries, at + 116)
        if entries[at + 66] == 5:
            root = place
        elif named.decode("utf-16-le", errors="replace").lower() in ("workbook", "book"):
            found = place
    start, length = found
    if length >= _MINI_STREAM:
        return chain(start)[:length]
    small, short, parts = numbers(chain(mini)), chain(root[0]), []
    while start < len(small):
        parts.append(short[start * 64 : start * 64 + 64])
        start = small[start]
    return b"".join(parts)[:length]
