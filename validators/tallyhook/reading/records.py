"""Tables whose columns have names and types: JSON lines, Parquet and data frames."""

from __future__ import annotations

import datetime
import json
import math
from collections.abc import Iterable, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.extras import need
from tallyhook.messages import say
from tallyhook.reading.shape import check_width, frame_of_rows, number_rows

__all__ = [
    "cell_text",
    "json_frame",
    "parquet_errors",
    "parquet_frame",
    "text_series",
    "typed_frame",
]


def parquet_errors() -> tuple[type[BaseException], ...]:
    """Name what reading a damaged Parquet file raises; for an `except` clause."""
    import pyarrow as pa

    return (
        pa.ArrowException,
        pl.exceptions.PolarsError,
        pl.exceptions.PanicException,
        OSError,
        MemoryError,
        OverflowError,
        TypeError,
        ValueError,  # a name that is no text
        RuntimeError,  # an array that cannot be a column of polars
    )


def cell_text(value: Any) -> str:
    """Write a stored value the way a spreadsheet shows it: 7100 and not 7100.0.

    Examples
    --------
    >>> cell_text(7100.0), cell_text(3.1500000000000004), cell_text(None), cell_text(True)
    ('7100', '3.15', '', 'TRUE')
    """
    if value is None or value is pl.Null:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return _float_text(value)
    if isinstance(value, datetime.datetime):
        midnight = value.time() == datetime.time(0)
        return value.date().isoformat() if midnight else value.isoformat(sep=" ")
    if isinstance(value, (list, tuple)):
        return ", ".join(cell_text(v) for v in value)
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False)
    text = str(value)
    return "" if text in ("NaT", "<NA>", "nan") else text


def _float_text(value: float) -> str:
    if math.isnan(value):
        return ""
    if math.isinf(value):
        return "inf"
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    # 15 significant digits is what a spreadsheet keeps; the rest is binary noise
    return format(Decimal(f"{value:.15g}"), "f")


def typed_frame(frame: pl.DataFrame) -> tuple[pl.DataFrame, frozenset[str]]:
    """Turn a typed frame into text with its column names as row 1, and name its number columns."""
    names = [str(c).rstrip("\u200b") for c in frame.columns]
    numbers = frozenset(f"c{i}" for i, t in enumerate(frame.dtypes) if t.is_numeric())
    body = pl.DataFrame({f"c{i}": text_series(frame.to_series(i)) for i in range(frame.width)})
    heading = frame_of_rows([names], len(names))
    return number_rows(pl.concat([heading, body]) if body.height else heading), numbers


def text_series(series: pl.Series) -> pl.Series:
    """Write the values of a column as the texts that a spreadsheet shows."""
    if series.dtype == pl.String:
        return series.fill_null("")
    if series.dtype.is_integer():
        return series.cast(pl.String).fill_null("")
    # distinct values only: formatting is Python's, and a column repeats itself
    try:
        distinct = series.unique()
        texts = [cell_text(v) for v in _values(distinct)]
        return series.replace_strict(distinct, texts, return_dtype=pl.String, default="")
    except (pl.exceptions.PolarsError, TypeError):
        return pl.Series([cell_text(v) for v in _values(series)], dtype=pl.String)


def _values(series: pl.Series) -> Iterable[Any]:
    if series.dtype == pl.Float32:  # through text, or 3.15 becomes 3.1500000953674316
        return [None if v is None else float(v) for v in series.cast(pl.String).to_list()]
    return series.to_list()


def parquet_frame(path: Path, where: str) -> tuple[pl.DataFrame, frozenset[str]]:
    """Read a Parquet file as text; its column names are row 1.

    Raises
    ------
    MissingExtra
        The library that reads Parquet is not installed.
    StockListError
        It is damaged, or too wide to be a list.
    """
    need("parquet", where)
    # by pyarrow: a count that lies in a damaged page makes polars abort the whole process
    import pyarrow.parquet as pq

    try:
        with pq.ParquetFile(path) as file:
            check_width(len(file.schema_arrow), where)
            frame = pl.DataFrame(pl.from_arrow(file.read()))
    except parquet_errors() as error:
        reason = (str(error).splitlines() or [""])[0]
        raise StockListError(
            say("it cannot be read as Parquet ({reason})", reason=reason),
            where=where,
            next_step=say("export it again"),
        ) from None
    return typed_frame(frame)


def json_frame(text: str, where: str) -> tuple[pl.DataFrame, frozenset[str]]:
    """Read JSON lines, or one JSON array of objects.

    The row of a JSON line is its line number, so the names of the keys stand in row 0; in an
    array the objects are counted from row 2, as if the keys were a heading.

    Raises
    ------
    StockListError
        A line is not JSON or not an object.
    """
    if text.lstrip().startswith("["):
        records, rows = _array(text, where), None
    else:
        records, rows = _json_lines(text, where)
    flat = [_flatten(r) for r in records]
    keys = list(dict.fromkeys(k for r in flat for k in r))
    check_width(len(keys), where)
    if not keys:
        raise StockListError(
            say("it is empty"), where=where, next_step=say("check that it is the list")
        )
    cells = [
        [_whole(k) for k in keys],
        *([_whole(cell_text(r.get(k))) for k in keys] for r in flat),
    ]
    numbers = frozenset(
        f"c{i}"
        for i, k in enumerate(keys)
        if all(isinstance(r.get(k), (int, float, type(None))) for r in flat)
    )
    frame = frame_of_rows(cells, len(keys))
    numbered = number_rows(frame)
    if rows is not None:
        numbered = numbered.with_columns(pl.Series("row", [0, *rows], dtype=pl.Int64))
    return numbered, numbers


def _whole(text: str) -> str:
    """Replace half characters, which JSON can escape and no text file can hold."""
    return text.encode("utf-8", errors="replace").decode("utf-8")


def _array(text: str, where: str) -> list[dict[str, Any]]:
    try:
        value = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise StockListError(
            say("it is not JSON ({reason})", reason=error),
            where=where,
            next_step=say("export it again"),
        ) from None
    if not isinstance(value, list) or not all(isinstance(v, dict) for v in value) or not value:
        raise StockListError(
            say("the JSON is not a list of objects"),
            where=where,
            next_step=say("write one object a row"),
        )
    return value


def _json_lines(text: str, where: str) -> tuple[list[dict[str, Any]], list[int]]:
    records, rows = [], []
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip():
            continue
        try:
            record = json.loads(line)
        except (ValueError, RecursionError) as error:
            raise StockListError(
                say("the line is not JSON ({reason})", reason=error),
                where=say("{file}, line {n}", file=where, n=number),
                next_step=say("mend it or export the list again"),
            ) from None
        if not isinstance(record, dict):
            raise StockListError(
                say("the line is not a JSON object"),
                where=say("{file}, line {n}", file=where, n=number),
                next_step=say("write one object a line"),
            )
        records.append(record)
        rows.append(number)
    if not records:
        raise StockListError(
            say("it is empty"), where=where, next_step=say("check that it is the list")
        )
    return records, rows


def _flatten(record: dict[str, Any], path: Sequence[str] = ()) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for key, value in record.items():
        if isinstance(value, dict) and len(path) < 5:
            flat |= _flatten(value, (*path, str(key)))
        else:
            flat[" ".join((*path, str(key)))] = value
    return flat
