"""Look a rating up, as data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.package import built_in_package

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["ratings", "rows_where", "table_name"]

_MAIN = {
    "chain": "ratings",
    "hooks": "chain-hooks",
    "grab-hooks": "ratings",
    "use": "leg-factors",
    "inspection": "limits",
    "vocabulary": "schemes",
    "sources": "documents",
}
"""The table that a package is looked up by when none is named."""


def ratings(package: str, table: str | None = None) -> pd.DataFrame:
    """Give a table of a built-in package as a typed frame.

    Parameters
    ----------
    package : str
        ``chain``, ``hooks``, ``grab-hooks``, ``use``, ``inspection``, ``vocabulary`` or
        ``sources``.
    table : str, optional
        One of the package's tables; its main one otherwise.

    Returns
    -------
    pandas.DataFrame
        Columns and units as the package's Table Schema declares them: the unit is the column
        name's ending (``wll_kg`` in [kg]).

    Raises
    ------
    PackageError
        There is no such package or table.

    Examples
    --------
    49 CFR 393.108, row 3/8 in, grade 80: 7,100 lb.

    >>> chain = ratings("chain")
    >>> law = chain[(chain.scheme == "us-tiedown") & (chain.grade == 80) & (chain.size_mm == 10)]
    >>> law.wll_lb.item()
    7100.0
    """
    from tallyhook.packages.schemas import typed_table

    return typed_table(built_in_package(package), table_name(package, table))


def table_name(package: str, table: str | None) -> str:
    """Name the table that is looked up: the one that is given, or the package's main one.

    Examples
    --------
    >>> table_name("chain", None), table_name("chain", "grades")
    ('ratings', 'grades')
    """
    return table or _MAIN[package]


def rows_where(package: str, table: str | None, wanted: Mapping[str, str]) -> pl.DataFrame:
    """Give the rows of a table whose columns have the wanted values (compared as written).

    Raises
    ------
    PackageError
        There is no such package, table or column, or no row is left.
    """
    rows = built_in_package(package)[table_name(package, table)]
    for column, value in wanted.items():
        if column not in rows.columns:
            raise PackageError(
                say("there is no column '{column}'", column=column),
                where=package,
                next_step=say("it has {columns}", columns=", ".join(rows.columns)),
            )
        cells = rows[column]
        rows = rows.filter(cells == _like(cells, value))
    if rows.is_empty():
        words = ", ".join(f"{c}={v}" for c, v in wanted.items())
        raise PackageError(
            say("no row has {words}", words=words), where=package, next_step=say("ask for less")
        )
    return rows


def _like(cells: pl.Series, text: str) -> float | bool | str:
    """Read a wanted value as the column has it."""
    if cells.dtype == pl.Boolean:
        if text not in ("true", "false"):
            raise PackageError(
                say("'{text}' is neither true nor false", text=text),
                next_step=say("that column holds true and false"),
            )
        return text == "true"
    if not cells.dtype.is_numeric():
        return text
    try:
        return float(text)
    except ValueError:
        raise PackageError(
            say("'{text}' is not a number", text=text), next_step=say("that column holds numbers")
        ) from None
