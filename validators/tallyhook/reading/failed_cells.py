"""The cells of a workbook whose formula failed or was never worked out: the library gives nothing.

A spreadsheet shows ``#REF!`` there, and a cell that shows something is not an empty one.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath
from xml.etree import ElementTree as ET

from tallyhook.reading.binary_cells import binary_names, xls_failures, xlsb_failures
from tallyhook.reading.zipped_workbook import (
    column_number,
    parse_part,
    xlsx_chunks,
    xlsx_parts,
)

__all__ = ["Failures", "failed_cells"]

Failures = Mapping[tuple[int, int], str]
"""What a spreadsheet shows in a cell, by its row and column, both counted from 1."""

_REPEATED = 10_000
"""Equal failed cells of an ODS beyond which the rest of a repeat is formatting of whole columns."""


def failed_cells(path: Path) -> Mapping[str, Failures]:
    """Find the failed cells of each sheet of a workbook that `hidden_rows` let pass.

    Examples
    --------
    >>> failed_cells(Path("list.xlsx"))  # doctest: +SKIP
    {'Chain': {(4, 5): '#REF!'}}
    """
    if not zipfile.is_zipfile(path):
        return dict(xls_failures(path.read_bytes()))
    with zipfile.ZipFile(path) as archive:
        names = set(archive.namelist())
        if "content.xml" in names:
            return _of_ods(archive)
        if "xl/workbook.bin" in names:
            return {
                name: xlsb_failures(archive.read(part))
                for name, part in _xlsb_parts(archive).items()
                if part in names
            }
        return {
            name: _of_xlsx(archive, part)
            for name, part in xlsx_parts(archive).items()
            if part in names
        }


# --- XLSX and XLSM

_FAILED = re.compile(rb"""\bt\s*=\s*["']e["']""")
_WITHOUT_VALUE = re.compile(
    rb"(?:[/:]f>|<(?:\w{1,9}:)?f(?:\s[^<>]*)?/>)\s*+"
    rb"(?:<(?:\w{1,9}:)?v(?:\s*+/>|></(?:\w{1,9}:)?v>)\s*+)?</(?:\w{1,9}:)?c>"
)
_OVERLAP = 200  # bytes in which the end of a formula's cell stands


def _of_xlsx(archive: zipfile.ZipFile, part: str) -> Failures:
    if not any(_FAILED.search(p) or _WITHOUT_VALUE.search(p) for p in _overlapping(archive, part)):
        return {}
    found: dict[tuple[int, int], str] = {}
    row = column = 0
    kind, formula, value = "", None, ""
    within = ""

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal row, column, kind, formula, value, within
        within = name = tag.rpartition(":")[2]
        if name == "row":
            row, column = int(attributes.get("r", row + 1)), 0
        elif name == "c":
            column += 1
            if place := re.fullmatch(r"([A-Za-z]{1,3})(\d{1,7})", attributes.get("r", "")):
                column, row = column_number(place[1].upper()), int(place[2])
            kind, formula, value = attributes.get("t", ""), None, ""
        elif name == "f":
            formula = ""

    def text(data: str) -> None:
        nonlocal formula, value
        if within == "f" and formula is not None:
            formula += data
        elif within == "v":
            value += data

    def end(tag: str) -> None:
        nonlocal within
        within = ""
        if tag.rpartition(":")[2] != "c":
            return
        if kind == "e":
            found[row, column] = value.strip() or "#ERROR!"
        elif formula is not None and kind != "str" and not value:
            found[row, column] = f"={formula.strip() or '?'}"

    parse_part(archive, part, start, text, end)
    return found


def _overlapping(archive: zipfile.ZipFile, part: str) -> Iterator[bytes]:
    before = b""
    for chunk in xlsx_chunks(archive, part):
        yield before + chunk
        before = chunk[-_OVERLAP:]


def _xlsb_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    relations = ET.fromstring(archive.read("xl/_rels/workbook.bin.rels"))
    targets = {str(r.get("Id")): str(r.get("Target", "")) for r in relations}
    parts = {}
    for name, key in binary_names(archive.read("xl/workbook.bin")):
        target = targets.get(key, "")
        path = target.lstrip("/") if target.startswith("/") else str(PurePosixPath("xl") / target)
        parts[name] = path
    return parts


# --- ODS


def _of_ods(archive: zipfile.ZipFile) -> Mapping[str, Failures]:
    sheets: dict[str, dict[tuple[int, int], str]] = {}
    name, row, rows, column, across = "", 1, 0, 1, 0
    shown: str | None = None

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal name, row, rows, column, across, shown
        if tag == "table:table":
            name, row, rows = attributes.get("table:name", ""), 1, 0
        elif tag == "table:table-row":
            row, column = row + rows, 1
            rows = int(attributes.get("table:number-rows-repeated", 1))
        elif tag in ("table:table-cell", "table:covered-table-cell"):
            across = int(attributes.get("table:number-columns-repeated", 1))
            failed = attributes.get("calcext:value-type") == "error"
            shown = "" if failed else None

    def text(data: str) -> None:
        nonlocal shown
        if shown is not None:
            shown += data

    def end(tag: str) -> None:
        nonlocal column, shown
        if tag not in ("table:table-cell", "table:covered-table-cell"):
            return
        if shown is not None:
            for down in range(min(rows, _REPEATED)):
                for right in range(min(across, _REPEATED)):
                    place = row + down, column + right
                    sheets.setdefault(name, {})[place] = shown.strip() or "#ERROR!"
        column, shown = column + across, None

    parse_part(archive, "content.xml", start, text, end)
    return sheets
