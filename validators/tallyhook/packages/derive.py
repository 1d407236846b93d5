"""Canonical rows from a source's table as it is printed.

A ``printed/`` resource keeps a source's own layout, units and rounding. Its descriptor says,
under ``derives``, how each printed cell becomes a canonical value. The audit holds ``data/``
against what this module derives, and ``scripts/derive`` writes it.

``derives`` is a list of derivations, each an object with

``table``
    the canonical table of the same package;
``rows``
    canonical column -> printed column, copied as text for every printed row (keys and notes);
``constants``
    canonical column -> text, the same for every row (scheme, source, locator ...);
``cells``
    a list of objects: ``from`` a printed column, ``to`` a canonical column, ``scale`` a factor
    (default 1), ``set`` more canonical columns for this cell, and ``known_by`` either a
    ``known_by`` word or a printed column that holds one, with ``known_by_column`` the column it
    is written to (default ``known_by``).

Cells that agree in the key of the canonical table make one row. An empty printed cell makes no
value, and a row without any value is not derived.

Each row gets its ``rating_id`` from the template of the canonical table (`rating_ids.py`). Where
a document has several rows of one key, a column ``case`` of that key tells them apart by names
that somebody gave them: a printed column, or a constant.
"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.descriptors import KNOWN_BY
from tallyhook.packages.package import Package, Resource
from tallyhook.packages.rating_ids import named

__all__ = ["derive_table", "derived_tables", "plain_number", "sort_by_key"]

_MOST_DIGITS = 40  # before or behind the point; ten times what any rating has


def derived_tables(package: Package) -> list[str]:
    """Name the canonical tables that at least one printed table derives, in descriptor order."""
    named = {d["table"] for r in package.resources.values() for d in _derivations(r)}
    return [name for name in package.resources if name in named]


def derive_table(package: Package, table: str) -> pl.DataFrame:
    """Derive a canonical table from the printed ones [text columns, sorted by key].

    Raises
    ------
    PackageError
        Two printed cells give one canonical value differently, a cell that is to be scaled is no
        number, or a row lacks what its name is made of.
    """
    target = package.resources[table]
    rows: dict[tuple[str, ...], dict[str, str]] = {}
    for resource in package.resources.values():
        for derivation in _derivations(resource):
            if derivation["table"] == table:
                _collect(package.text[resource.name], resource, derivation, target, rows)
    frame = pl.DataFrame(
        list(rows.values()), schema=dict.fromkeys(target.fields, pl.String), orient="row"
    )
    return sort_by_key(named(frame, target), target)


def sort_by_key(frame: pl.DataFrame, resource: Resource) -> pl.DataFrame:
    """Order rows by the primary key, numbers as numbers."""
    by = [
        pl.col(c).cast(pl.Float64, strict=False) if resource.is_numeric(c) else pl.col(c)
        for c in resource.key
    ]
    return frame.sort(by) if by else frame


def plain_number(value: Decimal) -> str:
    """Write a number in its one form: no exponent, no trailing zeros.

    Examples
    --------
    >>> plain_number(Decimal("3150.000")), plain_number(Decimal("1E3"))
    ('3150', '1000')
    """
    text = format(value.normalize(), "f")
    return "0" if text in ("-0", "0") else text


def _derivations(resource: Resource) -> list[dict[str, Any]]:
    return list(resource.descriptor.get("derives", []))


def _collect(
    printed: pl.DataFrame,
    resource: Resource,
    derivation: dict[str, Any],
    target: Resource,
    rows: dict[tuple[str, ...], dict[str, str]],
) -> None:
    for line in printed.iter_rows(named=True):
        base = dict.fromkeys(target.fields, "")
        base |= derivation.get("constants", {})
        base |= {to: line[source] for to, source in derivation.get("rows", {}).items()}
        for cell in derivation["cells"]:
            text = line[cell["from"]]
            if not text:
                continue
            wanted = base | cell.get("set", {})
            wanted[cell["to"]] = _scaled(text, cell.get("scale", 1), resource, cell["from"])
            if "known_by" in cell:
                word = cell["known_by"]
                column = cell.get("known_by_column", "known_by")
                wanted[column] = word if word in KNOWN_BY else line[word]
            _merge(rows, wanted, target, resource)


def _scaled(text: str, scale: float | int | str, resource: Resource, column: str) -> str:
    try:
        # Decimal, so that 3.15 t is 3150 kg and not 3149.9999999999995
        value, by = Decimal(text), Decimal(str(scale))
        # a number of a million digits, written 1e999999, is none that anybody printed
        if all(n.is_finite() and abs(n.adjusted()) <= _MOST_DIGITS for n in (value, by)):
            return plain_number(value * by)
    except InvalidOperation:
        pass
    if str(scale) == "1":
        return text
    raise PackageError(
        say("'{text}' times {scale} is not a number", text=text, scale=scale),
        where=say("{file}, column {column}", file=resource.path, column=column),
        next_step=say("mend it"),
    )


def _merge(
    rows: dict[tuple[str, ...], dict[str, str]],
    wanted: dict[str, str],
    target: Resource,
    resource: Resource,
) -> None:
    key = tuple(wanted[c] for c in target.key)
    row = rows.setdefault(key, wanted)
    for column, value in wanted.items():
        if value and row[column] and row[column] != value:
            raise PackageError(
                say(
                    "two printed cells give {column} of {key} as {row} and {value}",
                    column=column,
                    key="/".join(key),
                    row=row[column],
                    value=value,
                ),
                where=resource.path,
                next_step=say("give them different keys, or mend the printed table"),
            )
        row[column] = row[column] or value
