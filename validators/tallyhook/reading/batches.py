"""Long files of one plain table, read in batches of rows.

The head of the file and lines from all over it are read with the same care as any list; they
tell the separator and the columns. The whole is then streamed, and believed only while every
line becomes one row of no more cells than the sample has. A file that breaks this, or that holds
what a batch alone cannot decide, raises `NotPlain` and is read as a whole instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.reading.records import typed_frame
from tallyhook.reading.sheet import LARGEST_CELL, Sheet, check_shape, number_rows
from tallyhook.reading.text import text_frame

__all__ = [
    "LONG_FILE",
    "LONG_TABLE",
    "Batches",
    "NotPlain",
    "open_batches",
    "parquet_height",
    "parquet_rows",
    "parquet_sample",
]

LONG_FILE = 24 * 1024 * 1024
"""Bytes of text from which a file is read in batches."""

LONG_TABLE = 250_000
"""Rows from which a Parquet file is read in batches."""

BATCH = 250_000
_HEAD = 512 * 1024  # bytes at the top that are looked at
_SPREAD, _PIECE = 64, 4096  # pieces looked at all over the rest, and their bytes
_BLOCK = 8 * 1024 * 1024


class NotPlain(Exception):  # noqa: N818 (not an error: the list is read another way)
    """The list cannot be taken batch by batch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Batches:
    """A long file: `sample` as a sheet, and a function that streams all its rows as text."""

    sample: Sheet
    frames: Callable[[], Iterator[pl.DataFrame]] = field(repr=False)


def open_batches(path: Path) -> Batches | None:
    """Look at a file; None when it is short, or of a kind that is read as a whole."""
    try:
        size = path.stat().st_size
        with path.open("rb") as stream:
            magic = stream.read(4)
    except (OSError, ValueError):
        return None  # the reader of whole lists says what is wrong
    try:
        if magic == b"PAR1":
            return _open_parquet(path)
        return _open_text(path, size) if size >= LONG_FILE else None
    except (NotPlain, StockListError, UnicodeDecodeError, OSError):
        return None
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException):
        return None


def _open_parquet(path: Path) -> Batches | None:
    if parquet_height(path) < LONG_TABLE:
        return None
    sample = parquet_sample(path)

    def frames() -> Iterator[pl.DataFrame]:
        scan, first = pl.scan_parquet(path, glob=False), 2  # the names of the columns are row 1
        for batch in scan.collect_batches(chunk_size=BATCH, maintain_order=True):
            yield _records(batch, sample, first)
            first += batch.height

    return Batches(sample=sample, frames=frames)


def parquet_height(path: Path) -> int:
    """Count the rows of a Parquet file from its footer."""
    return int(pl.scan_parquet(path, glob=False).select(pl.len()).collect().item())


def parquet_sample(path: Path) -> Sheet:
    """Take the top of a Parquet file and rows from all over it as a sheet."""
    scan, where = pl.scan_parquet(path, glob=False), str(path)
    step = max(1, parquet_height(path) // 2000)
    row = pl.int_range(pl.len())
    text, numbers = typed_frame(scan.filter((row < 2000) | (row % step == 0)).collect())
    return Sheet(
        file=where,
        name=None,
        frame=check_shape(text, where),
        stored_numbers=numbers,
        heading_row=1,
    )


def parquet_rows(path: Path, sample: Sheet, offset: int, count: int, first: int) -> pl.DataFrame:
    """Read some rows of a Parquet file as text; the first of them gets the number `first`."""
    scan = pl.scan_parquet(path, glob=False)
    return _records(scan.slice(offset, count).collect(), sample, first)


def _records(batch: pl.DataFrame, sample: Sheet, first: int) -> pl.DataFrame:
    body = typed_frame(batch)[0].slice(1).select(sample.frame.columns)
    return body.with_columns(pl.int_range(first, first + pl.len(), dtype=pl.Int64).alias("row"))


def _open_text(path: Path, size: int) -> Batches | None:
    where = str(path)
    with path.open("rb") as stream:
        head = stream.read(_HEAD)
        pieces = []
        for n in range(_SPREAD):
            stream.seek(_HEAD + (size - _HEAD - _PIECE) * n // _SPREAD)
            pieces.append(b"".join(stream.read(_PIECE).splitlines(keepends=True)[1:-1]))
    top = head[: head.rfind(b"\n") + 1]
    if not top or b"\0" in head or head.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        return None
    text = (top + b"".join(pieces)).decode("utf-8").replace("\r\n", "\n")
    start = text[:2000].lstrip()
    if "\r" in text or re.match(r"sep=|<|\{|\[", start):
        return None
    frame, mark = text_frame(text, where)
    if mark is None:
        return None
    frame = check_shape(frame, where)
    # a few thousand rows from the top and a few thousand of the others are sample enough
    sample = Sheet(file=where, name=None, frame=_thinned(frame, top.count(b"\n")))
    quoted = re.search(rf'(?:^|\n|{re.escape(mark)})"', text) is not None
    width = frame.width - 1

    def frames() -> Iterator[pl.DataFrame]:
        return _text_batches(path, mark, quoted=quoted, width=width)

    return Batches(sample=sample, frames=frames)


def _thinned(frame: pl.DataFrame, top: int) -> pl.DataFrame:
    return pl.concat([frame.head(min(top, 2000)), frame.slice(top).head(4000)])


def _text_batches(path: Path, mark: str, *, quoted: bool, width: int) -> Iterator[pl.DataFrame]:
    names = [f"c{i}" for i in range(width)]
    scan = pl.scan_csv(
        path,
        has_header=False,
        separator=mark,
        quote_char='"' if quoted else None,
        infer_schema=False,
        schema=dict.fromkeys([*names, "beyond"], pl.String),
        missing_columns="insert",
        truncate_ragged_lines=True,
        glob=False,
    )
    row = 1
    try:
        for batch in scan.collect_batches(chunk_size=BATCH, maintain_order=True):
            _check_batch(batch, names, quoted=quoted)
            yield number_rows(batch.select(names), row)
            row += batch.height
    except pl.exceptions.PolarsError as error:
        raise NotPlain from error
    if row - 1 != _lines(path):
        raise NotPlain


def _check_batch(batch: pl.DataFrame, names: list[str], *, quoted: bool) -> None:
    if batch["beyond"].null_count() < batch.height:
        raise NotPlain
    longest = batch.select(pl.col(names).str.len_bytes().max()).row(0)
    if any((n or 0) > LARGEST_CELL for n in longest):
        raise NotPlain
    if not quoted:
        marks = batch.select(pl.any_horizontal(pl.col(names).str.starts_with('"')).any()).item()
        if marks:
            raise NotPlain


def _lines(path: Path) -> int:
    count, last = 0, b""
    with path.open("rb") as stream:
        while block := stream.read(_BLOCK):
            count += block.count(b"\n")
            last = block[-1:]
    return count + (last != b"\n")
