"""Hostile rating packages: made from nothing, or a sound one of ours with a few damages."""

from __future__ import annotations

import csv
import functools
import io
import json
import random
from collections.abc import Callable, Mapping
from typing import Any

from fuzzing.inputs import CELLS, MARKUP, ROOT, csv_of, mutated

__all__ = ["ODD", "damaged_table", "mangled", "package", "sound_package"]

ODD: tuple[Any, ...] = (
    None, [], {}, "", 0, -1, 1e308, True, "x", ["a"], {"a": "b"}, [[[]]], "\0", "\ud800",
    float("nan"), "9" * 5000, 10**400, "1e999999", "../x", "row", "wll_kg", "ratings",
)  # fmt: skip
"""What a member of a JSON file is not expected to be."""

_PATHS = (
    "../secret.csv",
    "/etc/passwd",
    "http://example.invalid/a.csv",
    "file:///etc/passwd",
    "data/../../secret.csv",
    "..\\secret.csv",
    "C:\\secret.csv",
    "link.csv",
    "data",
    "",
    ".",
    "\0",
    "a" * 5000,
    "data/ratings.csv\0",
    "\ud800",
    "*.csv",
    ["data/ratings.csv"],
    None,
    7,
    {"a": 1},
)
_MEMBERS: dict[str, tuple[Any, ...]] = {
    "encoding": ("latin-1", "utf-16", "UTF-8", "rot13"),
    "dialect": ({"delimiter": ";"}, {"header": False}, "http://example.invalid/d.json", {}),
    "profile": ("http://example.invalid/p.json", "../secret.csv", "tabular-data-resource"),
    "$schema": ("http://example.invalid/p.json",),
    "extrapaths": (["../secret.csv"], ["http://example.invalid/a.csv"]),
    "compression": ("zip", "gz"),
    "format": ("json", "sql", "inline", "zip"),
    "scheme": ("http", "s3", "stream"),
    "data": ([["a"], [1]],),
    "checklist": ({"checks": [{"type": "table-dimensions"}]},),
    "bytes": (10**30, -1, "12"),
}
"""Members of a resource that lead a reader of data packages elsewhere, or astray."""

_CONSTRAINTS = {
    "minimum": ("x", -1, 1e400),
    "maximum": (0, {}),
    "enum": ([], "x", [1, None]),
    "pattern": ("(", "(a+)+$", "(.*,)*x", "[[:alpha:]]", "\\p{L}", "(?<=a)b", 7),
    "unique": (True, "yes"),
    "required": (True, "no"),
    "jsonSchema": ({"$ref": "http://example.invalid/s.json"}, {"type": 7}),
}


def _from_nothing(random_: random.Random) -> dict[str, bytes]:
    fields: list[object] = [
        {"name": "size_mm", "type": "number"},
        {"name": "grade", "type": "integer"},
        {"name": "wll_kg", "type": "number"},
    ]
    table: dict[str, object] = {
        "name": "ratings",
        "path": "data/ratings.csv",
        "schema": {"fields": fields, "primaryKey": ["size_mm", "grade"]},
    }
    descriptor: dict[str, object] = {"name": "maker", "version": "1.0.0", "resources": [table]}
    kind = random_.randrange(6)
    if kind == 0:
        table["path"] = random_.choice(_PATHS)
    elif kind == 1:
        spot = random_.choice((descriptor, table, table["schema"], fields[0]))
        assert isinstance(spot, dict)
        spot[random_.choice(sorted(spot))] = random_.choice(ODD)
    elif kind == 2:
        fields.append(random_.choice(ODD))
    elif kind == 3:
        member = random_.choice(("hash", "derives", *_MEMBERS))
        table[member] = random_.choice((*ODD, *_MEMBERS.get(member, ())))
        descriptor["resources"] = [table] * random_.choice((1, 1, 2, 300))
    text = json.dumps(descriptor).encode()
    if kind == 4:
        text = mutated(random_, text)
    elif kind == 5 and random_.random() < 0.3:
        text = b'{"a":' * 100_000 if random_.random() < 0.5 else b'{"name":' + b"9" * 5000 + b"}"
    rows = b"size_mm,grade,wll_kg\n10,80,3150\n13,80,5300\n"
    rows = mutated(random_, rows) if random_.random() < 0.5 else rows
    return {"datapackage.json": text, "data/ratings.csv": rows}


_OURS = ("grab-hooks", "grab-hooks", "chain", "hooks", "use", "inspection")


@functools.cache
def sound_package(name: str) -> Mapping[str, bytes]:
    """The files of a package of ours, called ``maker``."""
    folder = ROOT / "datasets" / name
    files = {str(f.relative_to(folder)): f.read_bytes() for f in folder.rglob("*") if f.is_file()}
    descriptor = json.loads(files["datapackage.json"]) | {"name": "maker"}
    return files | {"datapackage.json": json.dumps(descriptor, ensure_ascii=False).encode()}


def mangled(random_: random.Random, value: Any, odd: tuple[Any, ...] = ODD) -> Any:
    """A JSON value with a member gone, doubled, renamed, or become something else."""
    value = json.loads(json.dumps(value))
    for _ in range(random_.choice((1, 1, 1, 2, 4))):
        spot = value
        while isinstance(spot, dict | list) and spot:
            key: Any = random_.choice(sorted(spot) if isinstance(spot, dict) else range(len(spot)))
            if isinstance(spot[key], dict | list) and spot[key] and random_.random() < 0.85:
                spot = spot[key]
                continue
            _change(random_, spot, key, odd)
            break
        else:
            return random_.choice(odd)
    return value


def _change(random_: random.Random, spot: Any, key: Any, odd: tuple[Any, ...]) -> None:
    kind = random_.randrange(5)
    if kind == 0:
        del spot[key]
    elif kind == 1 and isinstance(spot, list):
        spot.insert(random_.randrange(len(spot) + 1), spot[key])
    elif kind == 1:
        spot[str(random_.choice(odd))] = spot.pop(key)
    elif kind == 2 and isinstance(spot[key], str):
        text = spot[key]
        spot[key] = random_.choice((text + "x", text.upper(), text[1:], f" {text}", text * 50))
    elif kind == 2 and isinstance(spot[key], int | float):
        spot[key] = random_.choice((-spot[key], spot[key] * 10, str(spot[key]), 2**63))
    else:
        spot[key] = random_.choice(odd)


_NUMBERS = ("0", "-1", "NaN", "INF", "1e400", "1e999999", "1e308", "1e-320", " 80", "٣", "1_000")


def damaged_table(random_: random.Random, data: bytes) -> bytes:
    """A CSV that stays one, with a few cells, rows or columns that are not as they were."""
    rows = list(csv.reader(io.StringIO(data.decode("utf-8"))))
    for _ in range(random_.choice((1, 1, 2, 4, 16))):
        if len(rows) < 2:
            break
        kind, at = random_.randrange(8), random_.randrange(len(rows))
        if not rows[at]:
            continue
        column = random_.randrange(len(rows[at]))
        if kind < 3:
            rows[at][column] = random_.choice((*_NUMBERS, "", "a" * 40 + "!", *CELLS[:31], *MARKUP))
        elif kind == 3:
            rows[at][column] = random_.choice(random_.choice(rows) or [""])
        elif kind == 4:
            del rows[at]
        elif kind == 5:
            rows.insert(random_.randrange(len(rows) + 1), list(rows[at]))
        elif kind == 6 and random_.random() < 0.2:
            for row in rows:
                row[column : column + 1] = random_.choice(([], [""], row[column : column + 1] * 2))
        elif kind == 7 and random_.random() < 0.1:
            del rows[1:]
    return csv_of(rows)


def _constrained(random_: random.Random, descriptor: Any) -> Any:
    """The descriptor with one more member in a resource, or a constraint on a field."""
    resource = random_.choice(descriptor["resources"])
    if random_.random() < 0.5:
        member = random_.choice(sorted(_MEMBERS))
        resource[member] = random_.choice(_MEMBERS[member])
    else:
        constraint = random_.choice(sorted(_CONSTRAINTS))
        limits = random_.choice(resource["schema"]["fields"]).setdefault("constraints", {})
        limits[constraint] = random_.choice(_CONSTRAINTS[constraint])
    return descriptor


def _damaged(random_: random.Random) -> dict[str, bytes]:
    files = dict(sound_package(random_.choice(_OURS)))
    described: Callable[[random.Random, Any], Any] = random_.choice((mangled, _constrained))
    kind = random_.randrange(8)
    if kind < 2:
        descriptor = described(random_, json.loads(files["datapackage.json"]))
        files["datapackage.json"] = json.dumps(descriptor).encode()
    if kind == 0:
        return files
    name = random_.choice(sorted(f for f in files if f.endswith((".csv", ".md"))))
    change = damaged_table if kind < 7 and name.endswith(".csv") else mutated
    files[name] = change(random_, files[name])
    if random_.random() < 0.05:
        del files[name]
    return files


def package(seed: int) -> dict[str, bytes]:
    """The files of a hostile package, by their paths in its folder."""
    random_ = random.Random(seed)
    return _damaged(random_) if random_.random() < 0.75 else _from_nothing(random_)
