"""Any file of a stock list, as sheets of text cells with the row numbers a person sees.

What a file is shows in its first bytes, not in its name: whether it is a workbook, Parquet, JSON
or text is decided by its content, so a CSV that is called ``.xls`` is read as what it is.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.extras import need
from tallyhook.frames import from_pandas
from tallyhook.messages import say, to_say
from tallyhook.model.sheet import Sheet
from tallyhook.reading.records import cell_text, json_frame, parquet_frame, typed_frame
from tallyhook.reading.shape import check_shape, number_rows
from tallyhook.reading.streams import is_stream
from tallyhook.reading.text import decode, text_frame

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Sheet", "need_reader", "no_sheets", "read_list", "sheet_from_frame"]

_FOREIGN = (
    (b"%PDF", to_say("a PDF")),
    (b"\x89PNG", to_say("a picture")),
    (b"\xff\xd8\xff", to_say("a picture")),
    (b"GIF8", to_say("a picture")),
    (b"\x1f\x8b", to_say("a packed file")),
    (b"7z\xbc\xaf", to_say("a packed file")),
    (b"Rar!", to_say("a packed file")),
    (b"SQLite format 3", to_say("a database")),
    (b"{\\rtf", to_say("a text document")),
)
_PARQUET = b"PAR1"
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def read_list(path: str | Path, *, sheet: str | None = None) -> list[Sheet]:
    """Read a stock list of any supported kind.

    Parameters
    ----------
    path : path
        CSV, TSV or other separated text, XLSX, XLSM, XLSB, XLS, ODS, JSON lines, JSON or Parquet.
    sheet : str, optional
        The one sheet of a workbook to read; all otherwise, those that it does not show marked and
        last.

    Raises
    ------
    StockListError
        The file is missing, empty, damaged, too large to be a list, or of another kind.
    """
    path = Path(path)
    where = str(path)
    head = _head(path)
    for magic, kind in _FOREIGN:
        if head.startswith(magic):
            raise StockListError(
                say("it is {kind}, not a list", kind=say(kind)),
                where=where,
                next_step=say("save the list as CSV or XLSX"),
            )
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06", _OLE)):
        # imported here: text lists, the most usual, do without it
        from tallyhook.reading.workbook import read_workbook

        return read_workbook(path, sheet=sheet)
    if sheet is not None:
        raise no_sheets(where)
    if head.startswith(_PARQUET):
        frame, numbers = parquet_frame(path, where)
        return [_named(where, frame, numbers, heading=1)]
    text = decode(path.read_bytes(), where)
    start = text[:2000].lstrip().lower()
    if re.match(r"<(!doctype|html|\?xml|table|meta|head)", start):
        raise StockListError(
            say("it is a web page or XML, whatever its name says"),
            where=where,
            next_step=say("open it in a spreadsheet program and save it as XLSX or CSV"),
        )
    if re.match(r'\{\s*"|\[\s*\{', start):
        frame, numbers = json_frame(text, where)
        return [_named(where, frame, numbers, heading=int(frame["row"][0]))]
    if not text.strip():
        raise StockListError(
            say("it is empty"), where=where, next_step=say("check that it is the list")
        )
    frame, _ = text_frame(text, where)
    return [Sheet(file=where, name=None, frame=check_shape(frame, where))]


def need_reader(path: str | Path) -> None:
    """See that the library is installed that reads a list of this kind.

    A file that cannot be opened is left to `read_list`, which says why, and so is a stream: it can
    be read a single time.

    Raises
    ------
    MissingExtra
        It is not.
    """
    if is_stream(path):
        return
    try:
        with Path(path).open("rb") as stream:
            parquet = stream.read(len(_PARQUET)) == _PARQUET
    except (OSError, ValueError):
        return
    if parquet:
        need("parquet", str(path))


def no_sheets(where: str) -> StockListError:
    """Say that a sheet was asked for where there are none."""
    return StockListError(
        say("it has no sheets"), where=where, next_step=say("leave the sheet's name away")
    )


def _head(path: Path) -> bytes:
    where = str(path)
    try:
        if path.is_dir():
            raise StockListError(
                say("it is a folder"),
                where=where,
                next_step=say("name the file of the list inside"),
            )
        with path.open("rb") as stream:
            head = stream.read(4096)
    except FileNotFoundError:
        raise StockListError(
            say("there is no such file"), where=where, next_step=say("check the path")
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise StockListError(
            say("the file cannot be opened ({reason})", reason=reason),
            where=where,
            next_step=say("check its permissions"),
        ) from None
    if not head:
        raise StockListError(
            say("it is empty"), where=where, next_step=say("check that it is the list")
        )
    return head


def _named(where: str, frame: pl.DataFrame, numbers: frozenset[str], *, heading: int) -> Sheet:
    return Sheet(
        file=where,
        name=None,
        frame=check_shape(frame, where),
        stored_numbers=numbers,
        heading_row=heading,
    )


def sheet_from_frame(frame: pd.DataFrame | pl.DataFrame, name: str = "frame") -> Sheet:
    """Take a data frame as a list: its column names are row 1, its first record row 2.

    Columns that are only numbered (as after reading a file without a heading) are no heading; the
    records then count from 1.

    Raises
    ------
    StockListError
        It is no frame, or has no rows or no columns.
    """
    numbered, index = False, None
    if not isinstance(frame, pl.DataFrame):
        import pandas as pd  # whoever has such a frame has paid for it

        if not isinstance(frame, pd.DataFrame):
            raise StockListError(
                say(
                    "a stock list is a path or a data frame, not {kind}", kind=type(frame).__name__
                ),
                next_step=say("hand in a path, or a frame of pandas or polars"),
            )
        index = frame.index
        numbered = all(isinstance(c, int) for c in frame.columns)
        frame = _from_pandas(frame)
    if frame.width == 0 or frame.height == 0:
        raise StockListError(
            say("the frame holds no rows"), where=name, next_step=say("hand in one that does")
        )
    text, numbers = typed_frame(frame)
    if not numbered:
        return replace(_named(name, text, numbers, heading=1), index=index)
    body = number_rows(text.slice(1).drop("row"))
    return Sheet(
        file=name, name=None, frame=check_shape(body, name), stored_numbers=numbers, index=index
    )


def _from_pandas(frame: pd.DataFrame) -> pl.DataFrame:
    if any(n is not None for n in frame.index.names):
        frame = frame.reset_index()
    names = [_name(c) for c in frame.columns]
    columns = [
        c if isinstance(c, pl.Series) else pl.Series([cell_text(v) for v in c], dtype=pl.String)
        for c in from_pandas(frame)
    ]
    # names may repeat in pandas but not in polars; a trailing zero-width mark makes them different
    unique: dict[str, int] = {}
    labels = []
    for label in names:
        count = unique.get(label, 0)
        unique[label] = count + 1
        labels.append(label + "\u200b" * count)
    return pl.DataFrame([c.alias(label) for c, label in zip(columns, labels, strict=True)])


def _name(column: Any) -> str:
    parts = column if isinstance(column, tuple) else (column,)
    words = [str(p) for p in parts if not str(p).startswith("Unnamed:")]
    return " ".join(words)
