"""Tiny rating packages on disk, for tests that load, seal or audit a folder."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

LOADS = """\
size_mm,grade,wll_kg,wll_lb,source,locator,known_by
10,80,3200,7100,the-law,row 1,published
13,80,5400,12000,the-law,row 2,published
"""
DOCUMENTS = """\
source,title
the-law,An invented law for tests
"""


def field(name: str, kind: str = "string", unit: str = "", **more: Any) -> dict[str, Any]:
    """Describe a column; a number with the title and example that every number has."""
    number = {"title": name, "example": 1, "unit": unit} if unit else {}
    return {"name": name, "type": kind} | number | more


FIELDS = [
    field("size_mm", "number", "mm", permissive="neither", constraints={"required": True}),
    field("grade", "integer", "1", permissive="neither", constraints={"minimum": 1}),
    field("wll_kg", "number", "kg", permissive="up", constraints={"minimum": 0}),
    field("wll_lb", "number", "lb", permissive="up", constraints={"minimum": 0}),
    field("source", refersTo="demo.documents.source"),
    field("locator"),
    field("known_by", constraints={"enum": ["published", "restated", "computed", "recalled"]}),
]


def make_package(
    folder: Path, *, version: str = "1.0.0", loads: str = LOADS, oddities: str = ""
) -> Path:
    """Write the package `demo`: loads, the documents they refer to, and known oddities."""
    (folder / "data").mkdir(parents=True, exist_ok=True)
    (folder / "data" / "loads.csv").write_text(loads, encoding="utf-8")
    (folder / "data" / "documents.csv").write_text(DOCUMENTS, encoding="utf-8")
    columns = ["rule", "table", "key", "column", "observed", "reason", "source"]
    (folder / "known-oddities.csv").write_text(
        ",".join(columns) + "\n" + oddities, encoding="utf-8"
    )
    (folder / "CHANGELOG.md").write_text(
        f"# Changes\n\n## {version} - 2026-11-25\n\nFirst.\n", encoding="utf-8"
    )
    descriptor = {
        "name": "demo",
        "version": version,
        "resources": [
            _table("loads", "data/loads.csv", FIELDS, ["size_mm", "grade"]),
            _table(
                "documents", "data/documents.csv", [field("source"), field("title")], ["source"]
            ),
            _table(
                "known-oddities",
                "known-oddities.csv",
                [field(c) for c in columns],
                ["rule", "table", "key", "column"],
            ),
        ],
    }
    (folder / "datapackage.json").write_text(json.dumps(descriptor), encoding="utf-8")
    return folder


def _table(name: str, path: str, fields: list[dict[str, Any]], key: list[str]) -> dict[str, Any]:
    return {
        "name": name,
        "type": "table",
        "path": path,
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "schema": {"fields": fields, "primaryKey": key, "missingValues": [""]},
    }


def edit(folder: Path, old: str, new: str, file: str = "data/loads.csv") -> None:
    """Replace text in a file of the package; the text is to be there."""
    path = folder / file
    text = path.read_text(encoding="utf-8")
    assert old in text, f"{old!r} is not in {file}"
    path.write_text(text.replace(old, new), encoding="utf-8")


def describe(folder: Path, **changes: Any) -> None:
    """Change top-level properties of the descriptor."""
    path = folder / "datapackage.json"
    descriptor = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps(descriptor | changes), encoding="utf-8")
