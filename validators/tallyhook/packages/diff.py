"""What differs between two states of a rating package, and the version step that announces it.

MAJOR when a column, key, unit or meaning changes or a row goes; MINOR when a row is added or a
rating changes; PATCH for words.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tallyhook.messages import say
from tallyhook.packages.package import NUMERIC_TYPES, load_package
from tallyhook.packages.versions import STEPS

__all__ = ["Change", "Snapshot", "changes", "current"]

_WORDS = ("title", "description", "example")


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A package at one moment: its descriptor, and the text of each table by its path."""

    descriptor: Mapping[str, Any]
    files: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that differs between two snapshots, and the smallest bump that announces it."""

    level: str
    table: str
    key: str
    column: str
    old: str
    new: str

    def __str__(self) -> str:
        place = "/".join(p for p in (self.table, self.key, self.column) if p)
        nothing = say("nothing")
        return f"{self.level}: {place}: {self.old or nothing} -> {self.new or nothing}"


def current(folder: Path) -> Snapshot:
    """Take the package as it stands in the folder."""
    package = load_package(folder)
    files = {
        r.path: (folder / r.path).read_text(encoding="utf-8") for r in package.resources.values()
    }
    return Snapshot(descriptor=package.descriptor, files=files)


def changes(old: Snapshot, new: Snapshot) -> list[Change]:
    """List what differs, the weightiest first."""
    before, after = (
        {r["name"]: r for r in s.descriptor["resources"] if _canonical(r)} for s in (old, new)
    )
    found: list[Change] = []
    for name in before.keys() | after.keys():
        if name not in after:
            found.append(_change("major", name, old="table"))
        elif name not in before:
            found.append(_change("minor", name, new="table"))
        else:
            found += _schema_changes(name, before[name]["schema"], after[name]["schema"])
            found += _row_changes(
                name,
                after[name],
                old.files[before[name]["path"]],
                new.files[after[name]["path"]],
            )
    if not found and _comparable(old) != _comparable(new):
        found.append(_change("patch", "", column="words", old="old", new="new"))
    return sorted(found, key=lambda c: (-STEPS.index(c.level), c.table, c.key, c.column))


def _canonical(resource: Mapping[str, Any]) -> bool:
    return str(resource["path"]).startswith("data/")


def _change(
    level: str, table: str, key: str = "", column: str = "", old: str = "", new: str = ""
) -> Change:
    return Change(level=level, table=table, key=key, column=column, old=old, new=new)


def _comparable(snapshot: Snapshot) -> tuple[str, Mapping[str, str]]:
    resources = [
        {k: v for k, v in r.items() if k not in ("hash", "bytes")}
        for r in snapshot.descriptor["resources"]
    ]
    rest = {k: v for k, v in snapshot.descriptor.items() if k not in ("version", "created")}
    return json.dumps(rest | {"resources": resources}, sort_keys=True), dict(snapshot.files)


def _schema_changes(table: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    if _key(old) != _key(new):
        yield _change(
            "major", table, column="primary key", old="/".join(_key(old)), new="/".join(_key(new))
        )
    before, after = ({f["name"]: f for f in s["fields"]} for s in (old, new))
    for name in sorted(before.keys() | after.keys()):
        a, b = before.get(name), after.get(name)
        if a is None or b is None:
            old_word, new_word = ("column" if x else "" for x in (a, b))
            yield _change("major", table, column=name, old=old_word, new=new_word)
            continue
        for part in ("type", "unit"):
            if a.get(part) != b.get(part):
                yield _change(
                    "major", table, column=name, old=str(a.get(part)), new=str(b.get(part))
                )
        others = (a.keys() | b.keys()) - {"type", "unit", *_WORDS}
        for part in sorted(p for p in others if a.get(p) != b.get(p)):
            yield _change("minor", table, column=f"{name} ({part})", old="old", new="new")


def _row_changes(
    table: str, resource: Mapping[str, Any], old_text: str, new_text: str
) -> Iterator[Change]:
    schema = resource["schema"]
    key = _key(schema)
    before, after = _rows(old_text, key), _rows(new_text, key)
    # a changed rating, code word or way of knowing changes answers; other text is words
    weighty = {
        f["name"]
        for f in schema["fields"]
        if f["type"] in NUMERIC_TYPES or "enum" in f.get("constraints", {}) or "refersTo" in f
    }
    for gone in sorted(before.keys() - after.keys()):
        yield _change("major", table, gone, old="row")
    for added in sorted(after.keys() - before.keys()):
        yield _change("minor", table, added, new="row")
    for same in sorted(before.keys() & after.keys()):
        a, b = before[same], after[same]
        for column in (c for c in b if c in a and a[c] != b[c]):
            level = "minor" if column in weighty else "patch"
            yield _change(level, table, same, column, a[column], b[column])


def _key(schema: Mapping[str, Any]) -> tuple[str, ...]:
    key = schema.get("primaryKey", [])
    return (key,) if isinstance(key, str) else tuple(key)


def _rows(text: str, key: tuple[str, ...]) -> dict[str, dict[str, str]]:
    rows = csv.DictReader(io.StringIO(text))
    return {
        "/".join(str(r.get(c, "")) for c in key) if key else str(n): r for n, r in enumerate(rows)
    }
