"""A check of a zipped workbook (XLSX, XLSM, XLSB, ODS) before a library opens it.

Calamine lays a sheet out as one dense block, so a single stray cell in the last column of the last
row would ask for more memory than there is: how far each sheet reaches is found out first, and so
is what the parts really unpack to.
"""

from __future__ import annotations

import copy
import re
import xml.etree.ElementTree as ET
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath
from xml.parsers import expat

from tallyhook.bounds import Bounds, bounds, refuse_beyond
from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.place import sheet_place

__all__ = [
    "column_number",
    "damaged",
    "hidden_rows",
    "locked",
    "parse_part",
    "refuse_large",
    "xlsx_chunks",
    "xlsx_parts",
]

_MOST_RATIO = 400  # sheet XML packs to a tenth or a fiftieth, a bomb to a thousandth
_SMALL = 64 * 2**20
_MOST_COLUMNS = 5000
_BLOCK = 2**22
_TEXT_IN_MEMORY = 16  # bytes that a character of an ODS takes, repeats written out, text and cells
_MANIFEST = "META-INF/manifest.xml"  # of an ODS; it says how its parts are encrypted
_LONGEST_PIECE = 2**24  # bytes without the end of a tag; a cell holds 32,767 characters


def damaged(where: str, error: object) -> StockListError:
    """Say that a workbook cannot be opened, and why."""
    reason = (str(error).splitlines() or [""])[0].rstrip(".")
    return StockListError(
        say("the workbook cannot be opened ({reason})", reason=reason),
        where=where,
        next_step=say("open it in a spreadsheet program and save it again as XLSX or CSV"),
    )


def locked(where: str) -> StockListError:
    """Say that a workbook needs a password."""
    return StockListError(
        say("the workbook is protected by a password"),
        where=where,
        next_step=say("save a copy without a password"),
    )


def hidden_rows(path: Path, where: str) -> dict[str, frozenset[int]]:
    """Refuse bombs and oversized sheets, and find the hidden rows of each sheet.

    Raises
    ------
    StockListError
        The workbook is damaged, is none, or unpacks to far more than a list needs.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            _refuse_bombs(archive, where)
            names = set(archive.namelist())
            if _MANIFEST in names and b"encryption-data" in archive.read(_MANIFEST):
                raise locked(where)
            if "content.xml" in names:
                return _ods_rows(archive, where)
            if not any(n.startswith("xl/") for n in names):
                raise StockListError(
                    say("it is an archive and not a workbook"),
                    where=where,
                    next_step=say("unpack it and name the list inside"),
                )
            return {
                name: _xlsx_rows(archive, part, sheet_place(where, name))
                for name, part in xlsx_parts(archive).items()
                if part in names
            }
    except (zipfile.BadZipFile, EOFError, OSError, ET.ParseError, KeyError, ValueError) as error:
        raise damaged(where, error) from None
    except (expat.ExpatError, NotImplementedError, RuntimeError, zlib.error) as error:
        raise damaged(where, error) from None  # among them an unknown or encrypted packing


def _refuse_bombs(archive: zipfile.ZipFile, where: str) -> None:
    entries = archive.infolist()
    packed = max(1, sum(e.compress_size for e in entries))
    unpacked = sum(e.file_size for e in entries)
    if not _is_bomb(unpacked, packed):
        # what an entry says of its own size may be a lie: what it unpacks to counts
        unpacked = 0
        for entry in entries:
            for block in _blocks(archive, entry):
                unpacked += len(block)
                if _is_bomb(unpacked, packed):
                    break
    mib = -(-unpacked // 2**20)
    refuse_beyond("mib", say("{n:,} MiB when unpacked", n=mib), mib, where=where)
    if _is_bomb(unpacked, packed):
        raise StockListError(
            say(
                "the workbook unpacks to more than {ratio} times its size, {mib} MiB and more",
                ratio=_MOST_RATIO,
                mib=mib,
            ),
            where=where,
            next_step=say(
                "save the list alone as CSV, or say what it may unpack to: --bound mib={most}",
                most=2 * mib,
            ),
        )


def _is_bomb(unpacked: int, packed: int) -> bool:
    """Whether it is too much; a bound that a person sets takes the place of the ratio."""
    most = bounds().mib
    if unpacked > most * 2**20:
        return True
    return most == Bounds().mib and unpacked > _SMALL and unpacked / packed > _MOST_RATIO


def _blocks(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> Iterator[bytes]:
    """Unpack an entry to its very end, wherever it says that this is."""
    whole = copy.copy(entry)
    whole.file_size = 2**62
    with archive.open(whole) as stream:
        while block := stream.read(_BLOCK):
            yield block


def xlsx_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """Name the part of each sheet of an XLSX, by the name of the sheet."""
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


def xlsx_chunks(archive: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    """Give the XML in pieces that end after a tag."""
    rest = b""
    for block in _blocks(archive, archive.getinfo(part)):
        block = rest + block
        cut = block.rfind(b">") + 1
        rest = block[cut:]
        if len(rest) > _LONGEST_PIECE:
            most = _LONGEST_PIECE // 2**20
            raise ValueError(say("{part} holds a text of more than {mib} MiB", part=part, mib=most))
        yield block[:cut]
    yield rest


# cells and rows as every spreadsheet program writes them; all others are read by a parser
_UNUSUAL = re.compile(
    rb'[<:](?:c(?=[\s/>])(?! r="[A-Z]{1,3}\d{1,7}"[\s/>])|row(?=[\s/>])(?! r="\d{1,7}"[\s/>]))'
)
_ROW = re.compile(rb'[<:]row r="(\d{1,7})"([^<>]*)>')
_HIDDEN = re.compile(rb'\bhidden="(?:1|true)"')
# beyond column Z, and not empty
_FAR_CELL = re.compile(rb'[<:]c r="([A-Z]{2,3})(\d{1,7})"(?!(?: s="\d{1,9}")? ?/>)')


def _xlsx_rows(archive: zipfile.ZipFile, part: str, where: str) -> frozenset[int]:
    hidden: set[int] = set()
    highest, widest = 0, 26
    for chunk in xlsx_chunks(archive, part):
        if _UNUSUAL.search(chunk):
            return _parsed_xlsx_rows(archive, part, where)
        for number, attributes in _ROW.findall(chunk):
            highest = max(highest, int(number))
            if _HIDDEN.search(attributes):
                hidden.add(int(number))
        for letters, number in _FAR_CELL.findall(chunk):
            widest = max(widest, column_number(letters.decode()))
            highest = max(highest, int(number))
    refuse_large(highest, widest, where)
    return frozenset(hidden)


_PLACE = re.compile(r"([A-Za-z]{1,9})(\d{1,12})")


def _parsed_xlsx_rows(archive: zipfile.ZipFile, part: str, where: str) -> frozenset[int]:
    hidden: set[int] = set()
    row = cell_row = column = highest = widest = 0

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal row, cell_row, column, highest, widest
        name = tag.rpartition(":")[2]
        if name == "row":
            row, column = int(attributes.get("r", row + 1)), 0
            if attributes.get("hidden") in ("1", "true"):
                hidden.add(row)
        elif name == "c":
            cell_row, column = row, column + 1
            if "r" in attributes:
                place = _PLACE.fullmatch(attributes["r"])
                if place is None:
                    raise ValueError(say("there is no cell '{cell}'", cell=attributes["r"][:20]))
                column, cell_row = column_number(place[1].upper()), int(place[2])
        elif name in ("v", "is", "f"):
            highest, widest = max(highest, cell_row), max(widest, column)
            refuse_large(highest, widest, where)

    parse_part(archive, part, start)
    return frozenset(hidden)


def parse_part(
    archive: zipfile.ZipFile,
    part: str,
    start: Callable[[str, dict[str, str]], None],
    text: Callable[[str], None] | None = None,
    end: Callable[[str], None] | None = None,
) -> None:
    """Parse a part, whatever it says of its size."""
    parser = expat.ParserCreate()
    parser.StartElementHandler = start
    parser.CharacterDataHandler = text
    parser.EndElementHandler = end
    for block in _blocks(archive, archive.getinfo(part)):
        parser.Parse(block)
    parser.Parse(b"", True)


def column_number(letters: str) -> int:
    """Give the number of a column by its letters: 1 for A, 27 for AA."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def refuse_large(rows: int, columns: int, where: str) -> None:
    """Refuse a sheet of far more cells or columns than a list has.

    Raises
    ------
    StockListError
        It is that large.
    """
    parts = {"rows": rows, "columns": columns}
    if columns > _MOST_COLUMNS:
        raise StockListError(
            say(
                "the sheet spans {rows} rows and {columns} columns, more than can be read", **parts
            ),
            where=where,
            next_step=say("clear the stray cells beyond the list, or save the list as CSV"),
        )
    # calamine lays out the whole block, however few of its cells are filled
    refuse_beyond(
        "cells",
        say("{n:,} cells in {rows} rows and {columns} columns", n=rows * columns, **parts),
        rows * columns,
        where=where,
        first=say("clear the stray cells beyond the list"),
    )


def _ods_rows(archive: zipfile.ZipFile, where: str) -> dict[str, frozenset[int]]:
    hidden: dict[str, frozenset[int]] = {}
    name, current = "", set[int]()
    row, repeat, column, widest = 1, 0, 0, 1
    across, length = 0, 0
    most = bounds().mib

    def add(characters: int) -> None:
        # a few bytes may stand for any number of blanks, and for any number of equal cells
        nonlocal length
        length += max(0, characters * across) * max(1, repeat)
        mib = length * _TEXT_IN_MEMORY // 2**20
        if mib > most:  # said once: it is asked for every cell
            refuse_beyond("mib", say("text that takes {n:,} MiB", n=mib), mib, where=where)

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal name, current, row, repeat, column, widest, across
        if tag == "table:table":
            name, current = attributes.get("table:name", ""), set()
            row, repeat, widest = 1, 0, 1
        elif tag == "table:table-row":
            row, column = row + repeat, 0
            repeat = int(attributes.get("table:number-rows-repeated", 1))
            shown = attributes.get("table:visibility") not in ("collapse", "filter")
            if not shown and repeat < 2**20:
                current.update(range(row, row + repeat))
                hidden[name] = frozenset(current)
        elif tag in ("table:table-cell", "table:covered-table-cell"):
            across = int(attributes.get("table:number-columns-repeated", 1))
            column += across
            if any(key.startswith("office:value") for key in attributes):
                widest = max(widest, column)
                refuse_large(row + repeat - 1, widest, where)
            add(len(attributes.get("office:string-value", "")))
        elif tag == "text:s":
            add(int(attributes.get("text:c", 1)))
        elif tag == "text:p":
            add(1)  # the line end between paragraphs

    def end(tag: str) -> None:
        nonlocal across
        if tag in ("table:table-cell", "table:covered-table-cell"):
            across = 0  # what stands between cells is no text of theirs

    parse_part(archive, "content.xml", start, lambda data: add(len(data)), end)
    return hidden
