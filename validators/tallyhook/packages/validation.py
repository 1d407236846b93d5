"""What in a table is not as its Table Schema says, cell by cell.

frictionless validates with the schema as it stands in the descriptor, but for the patterns: they
may come from anywhere, and it would match them with an engine that can take for ever. They are
matched with polars, in linear time, and against the whole cell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook.messages import say
from tallyhook.packages.package import (
    FIRST_ROW,
    HEADING_ROW,
    Package,
    Resource,
    boolean_words,
    pattern_of,
)

__all__ = ["schema_faults"]


def schema_faults(package: Package, resource: Resource) -> Iterator[dict[str, Any]]:
    """Give row, column, observed and expected of everything that breaks the schema."""
    known = set()
    for fault in _validated(package.folder, resource):
        known.add((fault["row"], fault["column"]))
        yield fault
    for fault in (*_unlike_patterns(package, resource), *_unread(package, resource)):
        if (fault["row"], fault["column"]) not in known:
            yield fault


def _validated(folder: Path, resource: Resource) -> Iterator[dict[str, Any]]:
    # imported here: frictionless takes most of a second to import
    from frictionless import Resource as TableResource
    from frictionless import system

    schema = resource.descriptor["schema"]
    fields = [
        field | {"constraints": {k: v for k, v in limits.items() if k != "pattern"}}
        for field in schema["fields"]
        for limits in [field.get("constraints", {})]
    ]
    # nothing is handed on that could lead anywhere but to the table
    kept = {k: schema[k] for k in ("missingValues", "primaryKey") if k in schema}
    descriptor = {
        "name": "table",
        "type": "table",
        "path": resource.path,
        "format": "csv",
        "encoding": "utf-8",
        "schema": {"fields": fields} | kept,
    }
    try:
        with system.use_context(trusted=False):
            report = TableResource.from_descriptor(descriptor, basepath=str(folder)).validate()
    except Exception as error:  # of many kinds; each says that it cannot follow the schema
        yield _of_the_schema(str(error))
        return
    for task in report.tasks:
        for fault in task.errors:
            yield {
                "row": getattr(fault, "row_number", None) or HEADING_ROW,
                "column": getattr(fault, "field_name", None) or "",
                "observed": getattr(fault, "cell", None) or "",
                "expected": fault.note or fault.title,
            }


def _of_the_schema(reason: str) -> dict[str, Any]:
    return {
        "row": HEADING_ROW,
        "column": "schema",
        "observed": say("a schema"),
        "expected": say("one that can be followed ({reason})", reason=reason),
    }


def _unlike_patterns(package: Package, resource: Resource) -> Iterator[dict[str, Any]]:
    for column, spec in resource.fields.items():
        pattern = pattern_of(spec)
        if pattern is None:
            continue
        cells = package.text[resource.name][column]
        try:
            wrong = ~cells.str.contains(f"^(?:{pattern})$") & (cells != "")
        except pl.exceptions.PolarsError as error:
            yield _of_the_schema(
                say(
                    "the pattern of {column}: {reason}",
                    column=column,
                    reason=str(error).splitlines()[0],
                )
            )
            continue
        for place in wrong.arg_true():
            yield {
                "row": FIRST_ROW + int(place),
                "column": column,
                "observed": cells[place],
                "expected": say('constraint "pattern" is "{pattern}"', pattern=pattern),
            }


def _unread(package: Package, resource: Resource) -> Iterator[dict[str, Any]]:
    """Give the cells of numbers and booleans that are read as missing and are not empty."""
    text, typed = package.text[resource.name], package.tables[resource.name]
    for column in (c for c, dtype in typed.schema.items() if dtype != pl.String):
        for place in (typed[column].is_null() & (text[column] != "")).arg_true():
            yield {
                "row": FIRST_ROW + int(place),
                "column": column,
                "observed": text[column][place],
                "expected": _readable(resource.fields[column]),
            }


def _readable(spec: Mapping[str, Any]) -> str:
    if spec["type"] == "boolean":
        true, false = boolean_words(spec)
        return say("{true} or {false}", true=true[0], false=false[0])
    return say("a finite {type}", type=spec["type"])
