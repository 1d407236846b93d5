"""The files, streams and frames that carry a table into a check."""

from __future__ import annotations

import csv
import io
import json
import os
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pandas as pd
import polars as pl

from relations.tables import Table

__all__ = ["CARRIERS", "WINDOWS", "Carrier", "csv_text"]

WINDOWS = "csv of Windows-1252"

Carrier = Callable[[Table, Path], Any]
"""Writes a table into a folder and gives what `check` takes."""


def csv_text(table: Table, *, separator: str = ",", end: str = "\n", quoting: int = 0) -> str:
    """Write a table as separated text."""
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=separator, lineterminator=end, quoting=quoting)  # type: ignore[arg-type]
    writer.writerows(line.cells for line in table.lines)
    return stream.getvalue()


def _text(encoding: str = "utf-8", **how: Any) -> Carrier:
    def carry(table: Table, folder: Path) -> Path:
        path = folder / "list.csv"
        path.write_bytes(csv_text(table, **how).encode(encoding))
        return path

    return carry


def _columns(table: Table) -> dict[str, list[str | None]]:
    """The cells by heading, None where there is none; headings that repeat are told apart."""
    assert table.heading == 0, "a frame has its heading first"
    heading = table.lines[0].cells
    cells = [[line.cells[n] or None for line in table.body] for n in range(len(heading))]
    return dict(zip(heading, cells, strict=True))


def _typed(values: list[str | None]) -> list[Any]:
    """The cells of a column as numbers, where each is one as a program writes it."""
    for kind in (int, float):
        try:
            numbers = [None if v is None else kind(v) for v in values]
        except ValueError:
            continue
        if all(
            v is None or f"{n:g}" == v or str(n) == v for n, v in zip(numbers, values, strict=True)
        ):
            return numbers
    return values


def _xlsx(table: Table, folder: Path, *, typed: bool = False) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    for line in table.lines:
        cells = [cell or None for cell in line.cells]
        sheet.append([_typed([c])[0] for c in cells] if typed else cells)
        for n, cell in enumerate(cells, 1):
            if isinstance(cell, str) and cell.startswith("="):
                sheet.cell(sheet.max_row, n).data_type = "s"  # a text that begins so, no formula
    path = folder / "list.xlsx"
    book.save(path)
    return path


def _polars(table: Table, folder: Path) -> pl.DataFrame:
    del folder
    return pl.DataFrame(_columns(table), schema=dict.fromkeys(table.lines[0].cells, pl.String))


def _polars_typed(table: Table, folder: Path) -> pl.DataFrame:
    del folder
    return pl.DataFrame({k: _typed(v) for k, v in _columns(table).items()}, strict=False)


def _pandas(table: Table, folder: Path) -> pd.DataFrame:
    del folder
    return pd.DataFrame(_columns(table))


def _pandas_typed(table: Table, folder: Path) -> pd.DataFrame:
    del folder
    return pd.DataFrame({k: _typed(v) for k, v in _columns(table).items()})


def _pandas_read(table: Table, folder: Path) -> pd.DataFrame:
    """As pandas reads the CSV file: a column of whole numbers with a gap becomes 80.0."""
    return pd.read_csv(_text()(table, folder), skip_blank_lines=False)


def _parquet(table: Table, folder: Path) -> Path:
    path = folder / "list.parquet"
    _polars(table, folder).write_parquet(path)
    return path


def _json(table: Table, folder: Path, *, lines: bool = False) -> Path:
    names = table.lines[0].cells
    records = [dict(zip(names, line.cells, strict=True)) for line in table.body]
    path = folder / ("list.jsonl" if lines else "list.json")
    if lines:
        path.write_text("".join(json.dumps(r) + "\n" for r in records), encoding="utf-8")
    else:
        path.write_text(json.dumps(records, ensure_ascii=False), encoding="utf-8")
    return path


def _pipe(table: Table, folder: Path) -> Path:
    """A pipe with a name, into which somebody writes a few bytes at a time."""
    path = folder / "pipe"
    path.unlink(missing_ok=True)
    os.mkfifo(path)
    data = csv_text(table).encode()

    def write() -> None:
        with path.open("wb", buffering=0) as stream:
            for start in range(0, len(data), 100):
                stream.write(data[start : start + 100])

    threading.Thread(target=write, daemon=True).start()
    return path


CARRIERS: dict[str, Carrier] = {
    "csv": _text(),
    "csv with a mark of its encoding": _text("utf-8-sig"),
    "csv of UTF-16": _text("utf-16"),
    WINDOWS: _text("cp1252"),
    "csv with CRLF": _text(end="\r\n"),
    "csv with CR": _text(end="\r"),
    "csv with semicolons": _text(separator=";"),
    "csv with tabulators": _text(separator="\t"),
    "csv with bars": _text(separator="|"),
    "csv through a pipe": _pipe,
    "csv with every cell quoted": _text(quoting=csv.QUOTE_ALL),
    "xlsx of texts": _xlsx,
    "xlsx with numbers": lambda table, folder: _xlsx(table, folder, typed=True),
    "parquet": _parquet,
    "json": _json,
    "json lines": lambda table, folder: _json(table, folder, lines=True),
    "frame of polars": _polars,
    "frame of polars with numbers": _polars_typed,
    "frame of pandas": _pandas,
    "frame of pandas with numbers": _pandas_typed,
    "frame as pandas reads the file": _pandas_read,
}
