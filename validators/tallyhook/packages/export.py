"""The rating packages in other forms: CSV, JSON, Parquet, SQLite, XLSX."""

from __future__ import annotations

import io
import json
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.extras import need
from tallyhook.files import whole_file, write_whole
from tallyhook.messages import say
from tallyhook.packages.package import BUILT_IN, Package, built_in_package

__all__ = ["FORMATS", "export"]

FORMATS = ("csv", "json", "parquet", "sqlite", "xlsx")
"""What `export` writes: a file a table, or one file for all (``sqlite``, ``xlsx``)."""


def export(folder: str | Path, *, format: str = "csv", packages: Sequence[str] = ()) -> list[Path]:
    """Write the canonical tables of rating packages.

    Parameters
    ----------
    folder : path
        Where the files go; it is made if it is missing.
    format : str
        One of `FORMATS`.
    packages : sequence of str
        The built-in packages to write; all of them otherwise.

    Returns
    -------
    list of Path
        The files written. Each row keeps its source, locator and ``known_by``; units stand in the
        column names. Every file is written whole or not at all.

    Raises
    ------
    PackageError
        There is no such package or format.
    MissingExtra
        The library that writes workbooks is not installed.
    TallyhookError
        A file cannot be written.
    """
    if format not in FORMATS:
        raise PackageError(
            say("there is no format '{format}'", format=format),
            next_step=say("use {formats}", formats=", ".join(FORMATS)),
        )
    if format == "xlsx":
        need("export", "--format xlsx")
    chosen = [built_in_package(name) for name in packages or BUILT_IN]
    target = Path(folder)
    try:
        target.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:  # a zero byte in the path is no OSError
        raise PackageError(
            say(
                "the folder cannot be made ({reason})",
                reason=getattr(error, "strerror", None) or error,
            ),
            where=str(target),
            next_step=say("name another"),
        ) from None
    if format == "sqlite":
        return [_sqlite(target / "tallyhook.sqlite", chosen)]
    if format == "xlsx":
        return [_workbook(target / f"{package.name}.xlsx", package) for package in chosen]
    return [
        _file(target / f"{package.name}.{name}.{format}", table, format)
        for package in chosen
        for name, table in _tables(package)
    ]


def _tables(package: Package) -> list[tuple[str, pl.DataFrame]]:
    return [(resource.name, package[resource.name]) for resource in package.canonical]


def _file(path: Path, table: pl.DataFrame, format: str) -> Path:
    if format == "csv":
        write_whole(path, table.write_csv())
    elif format == "json":
        write_whole(path, json.dumps(table.to_dicts(), indent=1, ensure_ascii=False) + "\n")
    else:
        buffer = io.BytesIO()
        table.write_parquet(buffer)
        write_whole(path, buffer.getvalue())
    return path


def _sqlite(path: Path, packages: Sequence[Package]) -> Path:
    with closing(sqlite3.connect(":memory:")) as base:
        for package in packages:
            for name, table in _tables(package):
                _into(base, f"{package.name}_{name}".replace("-", "_"), table)
        base.commit()
        write_whole(path, base.serialize())
    return path


def _into(base: sqlite3.Connection, name: str, table: pl.DataFrame) -> None:
    kinds = {pl.Float64: "REAL", pl.Int64: "INTEGER", pl.Boolean: "BOOLEAN"}
    columns = ", ".join(
        f'"{c}" {next((k for t, k in kinds.items() if dtype == t), "TEXT")}'
        for c, dtype in table.schema.items()
    )
    base.execute(f'CREATE TABLE "{name}" ({columns})')
    marks = ", ".join("?" * table.width)
    base.executemany(f'INSERT INTO "{name}" VALUES ({marks})', table.rows())


def _workbook(path: Path, package: Package) -> Path:
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    for name, table in _tables(package):
        sheet = book.create_sheet(name[:31])
        sheet.append(table.columns)
        for row in table.iter_rows():
            sheet.append(["" if value is None else value for value in row])
    with whole_file(path) as draft:
        book.save(draft)
    return path
