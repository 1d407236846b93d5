"""What differs between the rows of a table in two states of a rating package."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal, InvalidOperation
from typing import Any

from tallyhook.messages import say
from tallyhook.packages.descriptors import KNOWN_BY, RATING_ID
from tallyhook.packages.package import NUMERIC_TYPES, boolean_words
from tallyhook.packages.permissive import Way, permissive_way
from tallyhook.packages.rating_ids import RETIRED

__all__ = ["RowChange", "row_changes", "table_rows", "told_once"]

Row = Mapping[str, str]

_ODDITIES = "known-oddities"
_HOUSE_WORDS = ("locator", "note")
"""The columns that every table may have and that are words; others say it (``words``)."""
_KNOWN_BY = "known_by"
_SOURCE = "source"


@dataclass(frozen=True, slots=True, kw_only=True)
class RowChange:
    """A row or a cell that differs; `cells` are the row itself, as it was where it is gone."""

    kind: str
    table: str
    rating_id: str = ""
    key: str = ""
    column: str = ""
    old: str = ""
    new: str = ""
    unit: str = ""
    direction: str = ""
    effect: str = ""
    note: str = ""
    cells: Row = field(default_factory=dict, repr=False)


def row_changes(
    old: Mapping[str, Any], new: Mapping[str, Any], old_text: str, new_text: str
) -> Iterator[RowChange]:
    """Give the rows and cells of a table that differ.

    Parameters
    ----------
    old, new : mapping
        The table's resource in the descriptor.
    old_text, new_text : str
        The table's file, as CSV.
    """
    table, key = str(new["name"]), _key(new["schema"])
    before, after = table_rows(old["schema"], old_text), table_rows(new["schema"], new_text)
    pairs, gone, added = _paired(before, after, _ways_to_pair(old["schema"], new["schema"]))
    oddity = table == _ODDITIES
    for row in gone:
        kind = "retired-entry-withdrawn" if table == RETIRED else "row-withdrawn"
        was = _place(table, row, _key(old["schema"]))
        yield RowChange(kind="oddity", old="row", **was) if oddity else RowChange(kind=kind, **was)
    for row in added:
        now = _place(table, row, key)
        yield (
            RowChange(kind="oddity", new="row", **now)
            if oddity
            else RowChange(kind="row-added", **now)
        )
    fields = [{f["name"]: f for f in each["schema"]["fields"]} for each in (old, new)]
    for earlier, row in pairs:
        for column, spec in fields[1].items():
            if column not in fields[0] or earlier[column] == row[column]:
                continue
            cell = _cell(fields[0][column], spec, earlier, row)
            if oddity:
                cell = {"kind": "oddity"}
            elif column in key and cell["kind"] != "notation":
                cell = {"kind": "key"}
            elif cell["kind"] == "code" and not _coded(spec) and _printed(new):
                cell = {"kind": "words"}  # as the document prints it; what is read of it is derived
            yield RowChange(
                column=column,
                old=earlier[column],
                new=row[column],
                unit=str(spec.get("unit", "")),
                **(_place(table, row, key) | cell),
            )


def _place(table: str, row: Row, key: Sequence[str]) -> dict[str, Any]:
    """Give the members of a change that say which row it concerns."""
    return {
        "table": table,
        "rating_id": row.get(RATING_ID, ""),
        "key": "/".join(row.get(c, "") for c in key or row),
        "cells": row,
    }


def _printed(resource: Mapping[str, Any]) -> bool:
    return str(resource["path"]).startswith("printed/")


def _cell(
    old: Mapping[str, Any], new: Mapping[str, Any], before: Row, after: Row
) -> dict[str, str]:
    """Give kind, direction and effect of a change of one cell, from its fields and its rows."""
    name = str(new["name"])
    a, b, way = before[name], after[name], permissive_way(new, after)
    if "permissive" in old and permissive_way(old, before) != way:
        way = "either"  # which way counts, the old or the new one, is not told
    if new.get("type") in NUMERIC_TYPES:
        return _number(a, b, way)
    if new.get("type") == "boolean":
        return _switch(new, a, b, way)
    if name == _KNOWN_BY or name.endswith(f"_{_KNOWN_BY}"):
        # an empty one of a single column stands for that of its row
        return {"kind": _known_by(a or before.get(_KNOWN_BY, ""), b or after.get(_KNOWN_BY, ""))}
    if name == _SOURCE:
        return {"kind": "source"}
    return {"kind": "words" if _words(new) else "code"}


def _number(a: str, b: str, way: Way) -> dict[str, str]:
    if not b:
        return {"kind": "value-withdrawn"}
    if not a:
        return {"kind": "value-added" if way in ("up", "down") else "bound-added"}
    try:
        before, after = Decimal(a), Decimal(b)
    except InvalidOperation:
        return {"kind": "value-of-no-direction"}
    if before == after:
        return {"kind": "notation"}
    raised = after > before
    direction = {"direction": "raised" if raised else "lowered"}
    if way not in ("up", "down"):
        return {"kind": "value-of-no-direction"} | direction
    effect = "permissive" if raised == (way == "up") else "stricter"
    return {"kind": f"value-{effect}", "effect": effect} | direction


def _switch(spec: Mapping[str, Any], a: str, b: str, way: Way) -> dict[str, str]:
    """Take a yes/no cell as a number of 0 or 1, where its column says which lets more pass."""
    true, false = boolean_words(spec)
    marks = dict.fromkeys(true, "1") | dict.fromkeys(false, "0")
    cell = _number(marks.get(a, a), marks.get(b, b), way)
    if cell["kind"] in ("value-of-no-direction", "value-added", "bound-added"):
        return {"kind": "code"}
    return {k: v for k, v in cell.items() if k != "direction"}


def _known_by(a: str, b: str) -> str:
    if a == b:
        return "notation"
    if a not in KNOWN_BY or b not in KNOWN_BY:
        return "known-by-weaker"
    return "known-by-weaker" if KNOWN_BY.index(b) > KNOWN_BY.index(a) else "known-by-stronger"


def _words(spec: Mapping[str, Any]) -> bool:
    """Whether the cells of a column are words for people, of which nothing is read."""
    said = spec["name"] in _HOUSE_WORDS or spec.get("words") is True
    return said and not _coded(spec)


def _coded(spec: Mapping[str, Any]) -> bool:
    """Whether the cells of a column are codes: a list, a pattern or another table says which."""
    limits = spec.get("constraints", {})
    return bool(
        {"enum", "pattern"} & limits.keys() or {"refersTo", "patternWhereFilled"} & spec.keys()
    )


def _key(schema: Mapping[str, Any]) -> tuple[str, ...]:
    key = schema.get("primaryKey", [])
    return (key,) if isinstance(key, str) else tuple(key)


def _paired(
    old: Sequence[Row], new: Sequence[Row], ways: Iterable[Sequence[str]]
) -> tuple[list[tuple[Row, Row]], list[Row], list[Row]]:
    """Pair the rows of two states; give the pairs, then what is left of the old and the new.

    By the rating id where both rows have one, else by the columns of each way in turn; a way
    without columns pairs whole rows.
    """
    pairs: list[tuple[Row, Row]] = []
    left = list(old), list(new)
    for by in ((RATING_ID,), *ways):
        before, after = (_named(rows, by) for rows in left)
        met: set[int] = set()
        for name, row in before.items():
            other = after.get(name)
            if other is None or (
                by != (RATING_ID,) and row.get(RATING_ID) and other.get(RATING_ID)
            ):
                continue
            pairs.append((row, other))
            met |= {id(row), id(other)}
        left = tuple([r for r in rows if id(r) not in met] for rows in left)  # type: ignore[assignment]
    return pairs, *left


def _named(rows: Iterable[Row], by: Sequence[str]) -> dict[tuple[Any, ...], Row]:
    """Give the rows by their cells in some columns, those of the same cells by their order.

    A row without a value in all of them has no name; without columns the whole row is the name.
    """
    seen: Counter[tuple[str, ...]] = Counter()
    named: dict[tuple[Any, ...], Row] = {}
    for row in rows:
        name = tuple(row.get(c, "") for c in by or row)
        if any(name):
            named[(*name, seen[name])] = row
            seen[name] += 1
    return named


def _ways_to_pair(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[tuple[str, ...]]:
    """Name the columns by which rows without ids are paired, the best way first.

    By the primary key of either state. Where the other state has not all of its columns, or there
    is none, whole rows, then all that is neither a number nor words, then all but one number: a
    number that moves leaves the row what it is.
    """
    before, after = ({f["name"]: f for f in s["fields"]} for s in (old, new))
    for by in (_key(new), _key(old)):
        if by and before.keys() >= set(by) and after.keys() >= set(by):
            return [by]
    common = [name for name in after if name in before]
    numbers = [name for name in common if after[name].get("type") in NUMERIC_TYPES]
    texts = tuple(n for n in common if n not in numbers and not _words(after[n]))
    others = [tuple(n for n in common if n != number) for number in numbers]
    return [(), *([texts] if texts else []), *filter(None, others)]


def table_rows(schema: Mapping[str, Any], text: str) -> list[Row]:
    """Read the rows of a table as text, with an empty cell for what its schema calls missing."""
    missing = {str(mark) for mark in schema.get("missingValues", [])}
    return [
        {c: "" if v is None or v in missing else v for c, v in row.items() if c is not None}
        for row in csv.DictReader(io.StringIO(text, newline=""))
    ]


def told_once(
    found: Sequence[RowChange],
    old: Mapping[str, Mapping[str, Any]],
    new: Mapping[str, Mapping[str, Any]],
    retired: tuple[Mapping[str, str], Mapping[str, str]],
) -> Iterator[RowChange]:
    """Leave out what another change tells.

    That is a cell or row of ``printed/`` from which the change in ``data/`` is derived, and the
    entry in ``retired`` of a row that went: the row says what became of it.

    Parameters
    ----------
    found : sequence of RowChange
        The changes of all tables.
    old, new : mapping
        The resources of both states by their names.
    retired : tuple of mapping
        The retired ids of both states, each with its successor.
    """
    told: dict[str, list[RowChange]] = {}
    for change in found:
        told.setdefault(change.table, []).append(change)
    gone = {c.rating_id for c in found if c.kind == "row-withdrawn" and c.table != RETIRED}
    for change in found:
        if change.table == RETIRED:
            if not (change.kind == "row-added" and change.rating_id in gone):
                yield change
            continue
        tables = old if change.kind == "row-withdrawn" else new
        if not _told_by_derived(change, tables, told):
            yield _with_fate(change, retired)


def _with_fate(
    change: RowChange, retired: tuple[Mapping[str, str], Mapping[str, str]]
) -> RowChange:
    """Say of a row that went what became of its id, and of one that came that its id is not new."""
    name, (before, after) = change.rating_id, retired
    if name and change.kind == "row-added" and name in before:
        return replace(change, kind="id-reused")
    if not name or change.kind != "row-withdrawn":
        return change
    if name not in after:
        return replace(change, note=say("its id is not in retired.csv"))
    successor = after[name]
    note = say("now {successor}", successor=successor) if successor else say("retired")
    return replace(change, note=note)


def _told_by_derived(
    change: RowChange,
    tables: Mapping[str, Mapping[str, Any]],
    told: Mapping[str, Sequence[RowChange]],
) -> bool:
    for derivation in tables[change.table].get("derives", []):
        target = derivation["table"]
        if target not in tables:
            continue
        copied = derivation.get("rows", {})
        base = derivation.get("constants", {}) | {
            to: change.cells.get(column, "") for to, column in copied.items()
        }
        for cell in derivation["cells"]:
            written = _written(change.column, cell, copied)
            wanted = base | cell.get("set", {})
            key = [c for c in _key(tables[target]["schema"]) if wanted.get(c)]
            for other in told.get(target, ()):
                if (other.column in written if other.column else bool(written)) and all(
                    other.cells.get(c) == wanted[c] for c in key
                ):
                    return True
    return False


def _written(column: str, cell: Mapping[str, Any], copied: Mapping[str, str]) -> set[str]:
    """Name the columns that a printed column, or a whole printed row, is written to."""
    sources = {**copied, cell["to"]: cell["from"]}
    if "known_by" in cell:
        sources[cell.get("known_by_column", _KNOWN_BY)] = cell["known_by"]
    return {to for to, of in sources.items() if of == column or not column}
