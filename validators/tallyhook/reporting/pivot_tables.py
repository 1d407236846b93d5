"""A workbook without its pivot tables: they hold the shop's data a second time, out of sight."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO
from xml.etree import ElementTree

__all__ = ["without_pivot_tables"]

# ECMA-376, part 1, 12.3.11 and 9.2: a sheet is tied to its pivot tables in a part of relationships
_TIES = "http://schemas.openxmlformats.org/package/2006/relationships"
_PIVOT_TABLE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/pivotTable"


def without_pivot_tables(source: Path) -> Path | IO[bytes]:
    """Give a workbook whose sheets are tied to no pivot table; their cells keep what they showed.

    Parameters
    ----------
    source : path
        An XLSX or XLSM file; it stays as it is.

    Returns
    -------
    path or open file
        The same path where the workbook has no pivot table, else a changed copy, open for reading.
    """
    with zipfile.ZipFile(source) as archive:
        parts = [name for name in archive.namelist() if name.endswith(".rels")]
        untied = {name: text for name in parts if (text := _untied(archive.read(name)))}
        if not untied:
            return source
        copy = TemporaryFile()  # noqa: SIM115 - the reader of the workbook closes it
        with zipfile.ZipFile(copy, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as out:
            for name in dict.fromkeys(archive.namelist()):
                if name in untied:
                    out.writestr(name, untied[name])
                else:
                    with archive.open(name) as old, out.open(name, "w", force_zip64=True) as new:
                        shutil.copyfileobj(old, new)
    copy.seek(0)
    return copy


def _untied(part: bytes) -> bytes | None:
    """Give a part of relationships without those to pivot tables; None where it has none."""
    try:
        root = ElementTree.fromstring(part)
    except ElementTree.ParseError:
        return None
    pivots = [tie for tie in root if tie.get("Type") == _PIVOT_TABLE]
    for tie in pivots:
        root.remove(tie)
    return ElementTree.tostring(root, default_namespace=_TIES) if pivots else None
