"""Long files of one plain table, read in batches of rows.

The head of the file and lines from all over it are read with the same care as any list; they
give the separator and the columns. The whole is then streamed, and believed only while every
line becomes one row of no more cells than the sample has. A file that breaks this, or that holds
what a batch alone cannot decide, raises `NotPlain` and is read as a whole instead.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.extras import need
from tallyhook.model.sheet import Sheet
from tallyhook.reading.records import parquet_errors, text_series, typed_frame
from tallyhook.reading.shape import LARGEST_CELL, check_shape, number_rows
from tallyhook.reading.text import check_controls, text_frame

if TYPE_CHECKING:
    from pyarrow.parquet import ParquetFile

__all__ = [
    "LONG_FILE",
    "LONG_TABLE",
    "Batches",
    "NotPlain",
    "open_batches",
    "parquet_height",
    "parquet_names",
    "parquet_rows",
    "parquet_sample",
]

LONG_FILE = 24 * 1024 * 1024
"""Bytes of text from which a file is read in batches."""

LONG_TABLE = 250_000
"""Rows from which a Parquet file is read in batches."""

BATCH = 250_000
_HEAD = 512 * 1024  # bytes taken from the top
_PIECES, _PIECE = 64, 4096  # taken from all over the rest, and the bytes of each
_BLOCK = 1024 * 1024
_TOP = 2000  # rows taken from the top of a Parquet file, and as many of the rest
_FEW_GROUPS = 4


class NotPlain(Exception):  # noqa: N818 (not an error: the list is read another way)
    """The list cannot be taken batch by batch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Batches:
    """A long file: `sample` as a sheet, and a function that streams all its rows as text."""

    sample: Sheet
    frames: Callable[[], Iterator[pl.DataFrame]] = field(repr=False)


def open_batches(path: Path) -> Batches | None:
    """Open a long file for reading in batches; None when it is short or must be read as a whole.

    Raises
    ------
    MissingExtra
        It is Parquet, and the library that reads it is not installed.
    """
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
    except (NotPlain, StockListError, OSError, ValueError):  # what is no UTF-8 is a ValueError
        return None


def _open_parquet(path: Path) -> Batches | None:
    need("parquet", str(path))
    try:
        if parquet_height(path) < LONG_TABLE:
            return None
        sample = parquet_sample(path)
    except parquet_errors():
        return None  # the reader of whole lists says what is wrong

    def frames() -> Iterator[pl.DataFrame]:
        first = 2  # the names of the columns are row 1
        try:
            for batch in _parquet(path, sample).iter_batches(batch_size=BATCH):
                frame = _records(pl.DataFrame(pl.from_arrow(batch)), first)
                _check_cells(frame)
                yield frame
                first += batch.num_rows
        except parquet_errors() as error:
            raise NotPlain from error

    return Batches(sample=sample, frames=frames)


def _parquet(path: Path, sample: Sheet | None = None) -> ParquetFile:
    """Open a Parquet file; columns whose texts repeat in the sample are read as categories."""
    # by pyarrow: a count that lies in a damaged page makes polars abort the whole process
    import pyarrow as pa
    import pyarrow.parquet as pq

    file = pq.ParquetFile(path)
    if sample is None:
        return file
    repeat = _repeating(sample.frame)
    coded = [
        field_.name
        for number, field_ in enumerate(file.schema_arrow)
        if f"c{number}" in repeat
        and (pa.types.is_string(field_.type) or pa.types.is_large_string(field_.type))
    ]
    return pq.ParquetFile(path, read_dictionary=coded)


def _repeating(sample: pl.DataFrame) -> set[str]:
    """Find the columns whose texts repeat: they are read as categories, each text once."""
    counts = sample.select(pl.all().exclude("row").n_unique()).row(0, named=True)
    return {column for column, distinct in counts.items() if 2 * distinct <= sample.height}


def parquet_height(path: Path) -> int:
    """Count the rows of a Parquet file from its footer."""
    return int(_parquet(path).metadata.num_rows)


def parquet_names(path: Path) -> list[str]:
    """Name the columns of a Parquet file."""
    return [str(name) for name in _parquet(path).schema_arrow.names]


def parquet_sample(path: Path) -> Sheet:
    """Take the top of a Parquet file and rows from all over it as a sheet."""
    where, file = str(path), _parquet(path)
    groups, step = file.num_row_groups, max(1, file.metadata.num_rows // _TOP)
    none = file.schema_arrow.empty_table()  # of a file without rows the names alone
    parts = [none, *islice(file.iter_batches(batch_size=_TOP), 1)]
    if groups < _FEW_GROUPS:
        whole = file.iter_batches(batch_size=BATCH)
        parts += (batch.take(list(range(0, batch.num_rows, step))) for batch in whole)
    else:  # the first rows of groups all over the file are sample enough
        chosen = sorted({n * groups // _PIECES for n in range(_PIECES)})
        for group in chosen:
            parts += islice(
                file.iter_batches(batch_size=_TOP // len(chosen), row_groups=[group]), 1
            )
    text, numbers = typed_frame(pl.concat([pl.DataFrame(pl.from_arrow(p)) for p in parts]))
    return Sheet(
        file=where,
        name=None,
        frame=check_shape(text, where),
        stored_numbers=numbers,
        heading_row=1,
    )


def parquet_rows(path: Path, sample: Sheet, offset: int, count: int, first: int) -> pl.DataFrame:
    """Read some rows of a Parquet file as text; the first of them gets the number `first`."""
    file = _parquet(path, sample)
    groups, start, before = [], 0, None
    for group in range(file.num_row_groups):
        height = file.metadata.row_group(group).num_rows
        if start < offset + count and start + height > offset:
            groups.append(group)
            before = start if before is None else before
        start += height
    table = file.read_row_groups(groups).slice(offset - (before or 0), count)
    return _records(pl.DataFrame(pl.from_arrow(table)), first)


def _records(batch: pl.DataFrame, first: int) -> pl.DataFrame:
    """Write a batch as text, but for the columns read as categories, and number its rows."""
    columns = (batch.to_series(i) for i in range(batch.width))
    body = pl.DataFrame(
        {
            f"c{i}": column if column.dtype == pl.Categorical else text_series(column)
            for i, column in enumerate(columns)
        }
    )
    rows = pl.int_range(first, first + body.height, dtype=pl.Int64, eager=True).alias("row")
    return body.insert_column(0, rows)


def _open_text(path: Path, size: int) -> Batches | None:
    where = str(path)
    with path.open("rb") as stream:
        head = stream.read(_HEAD)
        pieces = []
        for n in range(_PIECES):
            stream.seek(_HEAD + (size - _HEAD - _PIECE) * n // _PIECES)
            pieces.append(b"".join(stream.read(_PIECE).splitlines(keepends=True)[1:-1]))
    top = head[: head.rfind(b"\n") + 1]
    if not top or b"\0" in head or head.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        return None
    check_controls(head, where)
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

    # polars refuses what stands behind a closing quote in a text, and drops it from a category
    coded = set() if quoted else _repeating(sample.frame)
    names = (f"c{i}" for i in range(width))
    types = {name: pl.Categorical() if name in coded else pl.String() for name in names}

    def frames() -> Iterator[pl.DataFrame]:
        return _text_batches(path, mark, quoted=quoted, types=types)

    return Batches(sample=sample, frames=frames)


def _thinned(frame: pl.DataFrame, top: int) -> pl.DataFrame:
    return pl.concat([frame.head(min(top, 2000)), frame.slice(top).head(4000)])


def _text_batches(
    path: Path, mark: str, *, quoted: bool, types: Mapping[str, pl.DataType]
) -> Iterator[pl.DataFrame]:
    names = list(types)
    scan = pl.scan_csv(
        path,
        has_header=False,
        separator=mark,
        quote_char='"' if quoted else None,
        infer_schema=False,
        schema={**types, "beyond": pl.String()},
        missing_columns="insert",
        truncate_ragged_lines=True,
        glob=False,
    )
    row = 1
    try:
        for batch in scan.collect_batches(chunk_size=BATCH, maintain_order=True):
            _check_batch(batch, quoted=quoted)
            yield number_rows(batch.select(names), row)
            row += batch.height
    except pl.exceptions.PolarsError as error:
        raise NotPlain from error
    if row - 1 != _lines(path):
        raise NotPlain


def _check_batch(batch: pl.DataFrame, *, quoted: bool) -> None:
    if batch["beyond"].null_count() < batch.height:
        raise NotPlain
    _check_cells(batch)
    if not quoted:
        marks = batch.select(
            pl.col(pl.String).str.starts_with('"').any(),
            pl.col(pl.Categorical).cat.starts_with('"').any(),
        )
        if any(marks.row(0)):
            raise NotPlain


def _check_cells(batch: pl.DataFrame) -> None:
    longest = batch.select(
        pl.col(pl.String).str.len_bytes().max(), pl.col(pl.Categorical).cat.len_bytes().max()
    ).row(0)
    if any((n or 0) > LARGEST_CELL for n in longest):
        raise NotPlain


def _lines(path: Path) -> int:
    """Count the lines of a file of text.

    Raises
    ------
    NotPlain
        A byte of it is zero.
    """
    import numpy as np  # counts five times as fast as bytes do, and lets other threads run

    count, last = 0, ord("\n")
    block = np.empty(_BLOCK, dtype=np.uint8)
    with path.open("rb", buffering=0) as stream:
        while size := stream.readinto(block.data):
            count += int(np.count_nonzero(block[:size] == ord("\n")))
            last = int(block[size - 1])
            if not block[:size].all():
                raise NotPlain
    return count + (last != ord("\n"))
