"""What differs between two states of a rating package, each change with the level it forces.

`levels.py` says what forces what. Rows are paired by their ``rating_id`` where both states have
it, else by the primary key. What ``printed/`` says anew and ``data/`` derives from it is told
once, for ``data/``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tallyhook.messages import say, to_say
from tallyhook.packages.constraints import constraint_changes
from tallyhook.packages.descriptors import RATING_ID
from tallyhook.packages.levels import KINDS
from tallyhook.packages.package import load_package
from tallyhook.packages.rating_ids import RETIRED
from tallyhook.packages.rows import RowChange, row_changes, table_rows, told_once
from tallyhook.packages.versions import STEPS
from tallyhook.wording import one_line

__all__ = ["Change", "Snapshot", "changes", "current"]

_DIRECTIONS = {"raised": to_say("raised"), "lowered": to_say("lowered")}
_VERSION = ("version", "created")  # what announces the changes is none itself
_HASHES = ("hash", "bytes")
_STORAGE = ("path", "type", "format", "mediatype", "encoding", "dialect", "profile", "compression")
_WORDS = ("title", "description", "sources", "derives", "example", "examples", "enumLabels")
# what of a field says how its cells are read
_READING = (
    "type", "format", "missingValues", "trueValues", "falseValues", "decimalChar", "groupChar",
    "bareNumber", "categories",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A package at one moment: its descriptor, and the text of each table by its path."""

    descriptor: Mapping[str, Any]
    files: Mapping[str, str]

    @property
    def name(self) -> str:
        """The package's name."""
        return str(self.descriptor["name"])

    @property
    def version(self) -> str:
        """The package's version; empty where it says none."""
        return str(self.descriptor.get("version", ""))


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that differs between two snapshots.

    Attributes
    ----------
    level : str
        The smallest step that announces it: ``patch``, ``minor`` or ``major``.
    kind : str
        One of `levels.KINDS`.
    table, rating_id, key, column : str
        Where; empty where it concerns more than that. `key` is the primary key of the row.
    old, new : str
        The text of the cell or the property in both states; empty where there is none.
    unit : str
        The unit of the column; empty where it has none.
    direction : str
        ``raised`` or ``lowered``, of a number that is there in both states; else empty.
    effect : str
        ``permissive`` or ``stricter``, of a value whose column says which way is; else empty.
    note : str
        What else has to be known of it.
    """

    level: str
    kind: str
    table: str = ""
    rating_id: str = ""
    key: str = ""
    column: str = ""
    old: str = ""
    new: str = ""
    unit: str = ""
    direction: str = ""
    effect: str = ""
    note: str = ""

    def __str__(self) -> str:
        """Write it in one line: level, table, row, column, old and new value, what it is."""
        place = " ".join(p for p in (self.table, self.rating_id or self.key, self.column) if p)
        told = [say(_DIRECTIONS[self.direction])] if self.direction else []
        told += [say(KINDS[self.kind].told), *([self.note] if self.note else [])]
        line = f"{self.level.upper()} {place}: " if place else f"{self.level.upper()} "
        if self.old or self.new:
            unit = f" {self.unit}" if self.unit not in ("", "1") else ""
            nothing = say("nothing")
            old, new = _differing(self.old, self.new)
            # the unit stands behind a number
            states = f"{old or nothing} -> {new}{unit}" if new else f"{old}{unit} -> {nothing}"
            line += f"{states} ({', '.join(told)})"
        else:
            line += ", ".join(told)
        return one_line(line)


def current(folder: Path) -> Snapshot:
    """Take the package as it stands in the folder.

    Raises
    ------
    PackageError
        It is none, or it is broken.
    """
    package = load_package(folder)
    files = {
        r.path: (folder / r.path).read_text(encoding="utf-8-sig")
        for r in package.resources.values()
    }
    return Snapshot(descriptor=package.descriptor, files=files)


def changes(old: Snapshot, new: Snapshot) -> list[Change]:
    """List what differs, the weightiest first; a version alone is no change."""
    before, after = ({r["name"]: r for r in s.descriptor["resources"]} for s in (old, new))
    found = list(_package_changes(old.descriptor, new.descriptor))
    rows: list[RowChange] = []
    for name in sorted(before.keys() | after.keys()):
        if name not in after:
            found.append(_change("table-withdrawn", name))
        elif name not in before:
            found.append(_change("table-added", name))
        else:
            found += _table_changes(name, before[name], after[name])
            texts = old.files[before[name]["path"]], new.files[after[name]["path"]]
            of_table = list(row_changes(before[name], after[name], *texts))
            columns = [
                [f["name"] for f in each[name]["schema"]["fields"]] for each in (before, after)
            ]
            if not of_table and columns[0] == columns[1] and texts[0] != texts[1]:
                found.append(_change("notation", name, note=say("order or form of the rows")))
            rows += of_table
    retired = _retired(old), _retired(new)
    found += [_of_row(row) for row in told_once(rows, before, after, retired)]
    return sorted(
        found, key=lambda c: (-STEPS.index(c.level), c.table, c.rating_id, c.key, c.column)
    )


def _columns(resource: Mapping[str, Any]) -> list[str]:
    return [field["name"] for field in resource["schema"]["fields"]]


def _retired(snapshot: Snapshot) -> dict[str, str]:
    """Give the retired ids of a package, each with the one that took its place."""
    return {
        row[RATING_ID]: row.get("successor", "")
        for resource in snapshot.descriptor["resources"]
        if resource["name"] == RETIRED
        for row in table_rows(resource["schema"], snapshot.files[resource["path"]])
        if row.get(RATING_ID)
    }


def _change(kind: str, table: str = "", column: str = "", **more: str) -> Change:
    return Change(level=KINDS[kind].level, kind=kind, table=table, column=column, **more)


def _of_row(row: RowChange) -> Change:
    return Change(
        level=KINDS[row.kind].level,
        kind=row.kind,
        table=row.table,
        rating_id=row.rating_id,
        key=row.key,
        column=row.column,
        old=row.old,
        new=row.new,
        unit=row.unit,
        direction=row.direction,
        effect=row.effect,
        note=row.note,
    )


def _package_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    for name in _differing_properties(old, new, without=(*_VERSION, "resources")):
        a, b = old.get(name), new.get(name)
        kind = {"name": "package-renamed", "licenses": "licence", "license": "licence"}.get(
            name, "words"
        )
        yield _change(kind, column=name, old=_text(a), new=_text(b))


def _table_changes(table: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    for name in _differing_properties(old, new, without=(*_HASHES, "name", "schema")):
        kind = "storage" if name in _STORAGE else "words" if name in _WORDS else "property"
        yield _change(kind, table, name, old=_text(old.get(name)), new=_text(new.get(name)))
    yield from _schema_changes(table, old["schema"], new["schema"])
    before, after = ({f["name"]: f for f in s["schema"]["fields"]} for s in (old, new))
    for name in before:
        if name not in after:
            yield _change("column-withdrawn", table, name)
    for name in after:
        if name not in before:
            yield _change("column-added", table, name)
        else:
            yield from _field_changes(table, before[name], after[name])
    kept = [[n for n in fields if n in before and n in after] for fields in (before, after)]
    if kept[0] != kept[1]:
        yield _change("column-order", table, old=", ".join(kept[0]), new=", ".join(kept[1]))


def _schema_changes(table: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    for name in _differing_properties(old, new, without=("fields",)):
        a, b = old.get(name), new.get(name)
        if name in ("foreignKeys", "uniqueKeys"):
            before, after = ({_text(each): None for each in keys or []} for keys in (a, b))
            for key in before:
                if key not in after:
                    yield _change("constraint-loosened", table, name, old=key)
            for key in after:
                if key not in before:
                    yield _change("constraint-tightened", table, name, new=key)
            continue
        kind = {
            "primaryKey": "key",
            "ratingId": "rating-id-form",
            "missingValues": "type",
            "fieldsMatch": "key",
        }.get(name, "words" if name in _WORDS else "property")
        yield _change(kind, table, name, old=_text(a), new=_text(b))


def _field_changes(table: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    column = str(new["name"])
    for name in _differing_properties(old, new, without=("name",)):
        a, b = old.get(name), new.get(name)
        if name == "constraints":
            for moved in constraint_changes(a or {}, b or {}):
                kind = "constraint-tightened" if moved.tighter else "constraint-loosened"
                yield _change(kind, table, f"{column} ({moved.name})", old=moved.old, new=moved.new)
        else:
            kind = _field_kind(name, a, b)
            yield _change(kind, table, f"{column} ({name})", old=_text(a), new=_text(b))


def _field_kind(name: str, old: Any, new: Any) -> str:
    """Give the kind of a change of a field's property."""
    if name in _READING:
        return "type"
    if name == "unit":
        return "unit"
    if name == "title":  # a title where none was says what was meant; another one means another
        return "meaning" if old is not None else "words"
    if name == "permissive":
        return "meaning" if old is not None else "direction-said"
    if name in ("refersTo", "patternWhereFilled"):  # the audit holds it, as it holds a constraint
        return "constraint-loosened" if new is None else "constraint-tightened"
    return "words" if name in _WORDS else "property"


def _differing_properties(
    old: Mapping[str, Any], new: Mapping[str, Any], *, without: tuple[str, ...]
) -> list[str]:
    # as text, for which 1 and true are not the same
    return [
        name
        for name in sorted(old.keys() | new.keys())
        if name not in without and _text(old.get(name)) != _text(new.get(name))
    ]


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    return json.dumps(value, ensure_ascii=False, sort_keys=True)


_LONGEST, _BEFORE = 60, 15  # characters of a text in a line, and of what stands before


def _differing(old: str, new: str) -> tuple[str, str]:
    """Cut two long texts to where they begin to differ.

    Examples
    --------
    >>> _differing("3200", "3300")
    ('3200', '3300')
    >>> _differing("a" * 80 + " one", "a" * 80 + " two")
    ('...aaaaaaaaaaaaaa one', '...aaaaaaaaaaaaaa two')
    """
    if max(len(old), len(new)) <= _LONGEST:
        return old, new
    same = next((i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), 0)
    if not same:
        same = min(len(old), len(new)) if old and new and old[0] == new[0] else 0
    start = max(same - _BEFORE, 0)
    return _part(old, start), _part(new, start)


def _part(text: str, start: int) -> str:
    part = text[start : start + _LONGEST]
    ahead, behind = "..." if start and part else "", "..." if len(text) > start + _LONGEST else ""
    return f"{ahead}{part}{behind}"
