"""A workbook whose bytes follow from what is in it: no hour of writing stands in it."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from openpyxl import Workbook

__all__ = ["save_workbook"]

_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The first moment that an archive can name."""

_HOUR = re.compile(rb"(<dcterms:(?:created|modified)[^<>]*>)[^<>]*+")


def save_workbook(book: Workbook, path: Path) -> None:
    """Write a workbook, the same bytes whenever it is written.

    Parameters
    ----------
    book : openpyxl.Workbook
        What is to be written.
    path : path
        Where; what stands there is replaced.
    """
    book.save(path)
    with zipfile.ZipFile(path) as archive:
        parts = [(entry, archive.read(entry)) for entry in archive.infolist()]
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry, data in parts:
            settled = zipfile.ZipInfo(entry.filename, _EARLIEST)
            settled.compress_type = zipfile.ZIP_DEFLATED
            settled.external_attr = entry.external_attr
            if entry.filename == "docProps/core.xml":
                data = _HOUR.sub(rb"\g<1>1980-01-01T00:00:00Z", data)
            archive.writestr(settled, data)
