"""What the descriptor of a rating package may say, before anything acts on it.

A package may come from anywhere. Its descriptor is held against a JSON Schema of all that
tallyhook reads of it, then against itself: a key or a derivation names only columns that its
tables have. What nothing here reads may stand in it as it likes.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from tallyhook.errors import PackageError
from tallyhook.messages import say

__all__ = ["KNOWN_BY", "NAMED", "PRACTICE", "RATING_ID", "check_descriptor", "template_columns"]

KNOWN_BY = ("published", "restated", "computed", "maker", "practice", "recalled")
"""How a number can be known, from strong to weak; DEVELOPERS.md says what each word means.

This order is the only one: what weakens a number (`levels.py`) and what may pass a row are read
from it. A maker's figure stands above practice, since somebody puts a name to it, and below the
first three, since no document beside the maker's own says it.
"""

NAMED = KNOWN_BY[:3]
"""How a number is known that a named document gives, or a named rule from one."""

PRACTICE = "practice"
"""How a number is known that no named document gives."""

RATING_ID = "rating_id"
"""The column that holds the name of a rating."""

_TEXT = {"type": "string"}
_NAMED = {"type": "object", "additionalProperties": _TEXT}
_NUMBER = {"type": ["number", "string"]}
# a dot parts the package from its table wherever one is named, a slash a table from its key
_NAME = {"type": "string", "minLength": 1, "pattern": r"^[^./\\\x00-\x1f]+$"}
# words with places for columns, parts of it in brackets: packages/rating_ids.py
_TEMPLATE = r"^([a-z0-9./-]|\{[^{}]+\}|\[([a-z0-9./-]|\{[^{}]+\})+\])+$"

_CELL = {
    "type": "object",
    "required": ["from", "to"],
    "properties": {
        "from": _TEXT,
        "to": _TEXT,
        "scale": _NUMBER,
        "set": _NAMED,
        "known_by": _TEXT,
        "known_by_column": _TEXT,
    },
}
_DERIVATION = {
    "type": "object",
    "required": ["table", "cells"],
    "properties": {
        "table": _TEXT,
        "rows": _NAMED,
        "constants": _NAMED,
        "cells": {"type": "array", "items": _CELL},
    },
}
_LIMIT = {"type": ["number", "string"]}
_CONSTRAINTS = {
    "type": "object",
    "properties": {
        "enum": {"type": "array", "minItems": 1},
        "exclusiveMaximum": _LIMIT,
        "exclusiveMinimum": _LIMIT,
        "maxLength": {"type": "integer"},
        "maximum": _LIMIT,
        "minLength": {"type": "integer"},
        "minimum": _LIMIT,
        "pattern": _TEXT,
        "required": {"type": "boolean"},
        "unique": {"type": "boolean"},
    },
    "additionalProperties": False,
}
# which way a number lets more pass: a larger one, a smaller one, or none does; or the words of
# another column of the row that say it (packages/permissive.py)
_WAYS = ("up", "down", "neither")
_PERMISSIVE = {
    "oneOf": [
        {"enum": list(_WAYS)},
        {
            "type": "object",
            "required": ["column"],
            "properties": {
                "column": _TEXT,
                **{way: {"type": "array", "items": _TEXT, "uniqueItems": True} for way in _WAYS},
            },
            "additionalProperties": False,
        },
    ]
}
_FIELD = {
    "type": "object",
    "required": ["name"],
    "properties": {
        "name": {"type": "string", "minLength": 1},
        "type": _TEXT,
        "title": _TEXT,
        "description": _TEXT,
        "unit": _TEXT,
        "refersTo": _TEXT,
        "patternWhereFilled": _TEXT,
        "trueValues": {"type": "array", "items": _TEXT},
        "falseValues": {"type": "array", "items": _TEXT},
        "constraints": _CONSTRAINTS,
        "permissive": _PERMISSIVE,
        "words": {"type": "boolean"},  # whether its cells are prose, which may be put otherwise
        "enumLabels": _NAMED,
    },
}
_COLUMNS = {"type": ["string", "array"], "items": _TEXT, "minItems": 1}
_FOREIGN_KEY = {
    "type": "object",
    "required": ["fields", "reference"],
    "properties": {
        "fields": _COLUMNS,
        "reference": {
            "type": "object",
            "required": ["fields"],
            "properties": {"resource": _TEXT, "fields": _COLUMNS},
        },
    },
}
_SCHEMA = {
    "type": "object",
    "required": ["fields"],
    "properties": {
        "fields": {"type": "array", "items": _FIELD},
        "primaryKey": {"type": ["string", "array"], "items": _TEXT},
        "foreignKeys": {"type": "array", "items": _FOREIGN_KEY},
        "missingValues": {"type": "array"},
        "ratingId": {"type": "string", "pattern": _TEMPLATE},
    },
}
# tables are read as plain CSV in UTF-8; one that says that it is something else would be misread
_DIALECT = {
    "type": "object",
    "properties": {
        "$schema": _TEXT,
        "delimiter": {"const": ","},
        "doubleQuote": {"const": True},
        "header": {"const": True},
        "headerRows": {"const": [1]},
        "lineTerminator": {"enum": ["\n", "\r\n"]},
        "quoteChar": {"const": '"'},
        "skipInitialSpace": {"const": False},
    },
    "additionalProperties": False,
}
_RESOURCE = {
    "type": "object",
    "required": ["name", "path", "schema"],
    "properties": {
        "name": _NAME,
        "path": {"type": "string", "minLength": 1},
        "title": _TEXT,
        "description": _TEXT,
        "encoding": {"type": "string", "pattern": "^([Uu][Tt][Ff]-?8|(us-)?ascii)$"},
        "hash": _TEXT,
        "bytes": {"type": "integer"},
        "dialect": _DIALECT,
        "schema": _SCHEMA,
        "derives": {"type": "array", "items": _DERIVATION},
    },
}
_PROFILE = {
    "type": "object",
    "required": ["name", "resources"],
    "properties": {
        "name": _NAME,
        "version": _TEXT,
        "resources": {"type": "array", "items": _RESOURCE, "minItems": 1},
    },
}
_LONGEST = 200  # characters of what a reader of the sentence has to see


def template_columns(template: str) -> list[str]:
    """Name the columns that a template of names (``ratingId``) takes, in its order.

    Examples
    --------
    >>> template_columns("chain/{scheme}[/{grade}]/{size_mm}mm")
    ['scheme', 'grade', 'size_mm']
    """
    return re.findall(r"\{([^{}]*)\}", template)


def check_descriptor(descriptor: Mapping[str, Any], where: str) -> None:
    """Refuse a descriptor that cannot be acted on.

    Raises
    ------
    PackageError
        A member is missing or is something else than it has to be, two tables or two columns
        have one name, or a name leads to no column.
    """
    from jsonschema import Draft202012Validator  # only packages from elsewhere need it
    from jsonschema.exceptions import best_match

    try:
        json.dumps(descriptor, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        raise _refused("half a character stands in it", where) from None
    broken = best_match(Draft202012Validator(_PROFILE).iter_errors(descriptor))
    if broken is not None:
        place = "/".join(str(part) for part in broken.absolute_path)
        message = broken.message
        if len(message) > _LONGEST:
            message = f"{message[:_LONGEST]} ..."
        faults = iter([f"{place}: {message}" if place else message])
    else:
        faults = _contradictions(descriptor["resources"])
    for fault in faults:
        raise _refused(fault, where)


def _refused(fault: str, where: str) -> PackageError:
    return PackageError(
        say("the descriptor is not that of a rating package ({fault})", fault=fault),
        where=where,
        next_step=say("mend it; see DEVELOPERS.md, A rating package"),
    )


def _contradictions(resources: list[dict[str, Any]]) -> Iterator[str]:
    columns: dict[str, list[str]] = {}
    for resource in resources:
        name, schema = resource["name"], resource["schema"]
        names = [field["name"] for field in schema["fields"]]
        given = schema.get("primaryKey", [])
        key = [given] if isinstance(given, str) else given
        if name in columns:
            yield say("two resources are named {name}", name=name)
        columns[name] = names
        if len(set(names)) < len(names):
            yield say("two fields of {name} have one name", name=name)
        yield from _lacking(name, names, key, say("primary key"))
        rows = [f["permissive"] for f in schema["fields"] if "permissive" in f]
        said_by = [way["column"] for way in rows if isinstance(way, dict)]
        yield from _lacking(name, names, said_by, "permissive")
        if "ratingId" in schema:
            yield from _lacking(name, names, [RATING_ID], say("ratingId"))
            for column in template_columns(schema["ratingId"]):
                if column not in key:
                    yield say(
                        "the ratingId of {table} takes {column}, which is not of its primary key",
                        table=name,
                        column=column,
                    )
    for resource in resources:
        for foreign in resource["schema"].get("foreignKeys", []):
            yield from _linked(resource["name"], foreign, columns)
        for derivation in resource.get("derives", []):
            yield from _derived(resource["name"], derivation, columns)


def _derived(
    printed: str, derivation: Mapping[str, Any], columns: Mapping[str, list[str]]
) -> Iterator[str]:
    table = derivation["table"]
    if table not in columns:
        yield say(
            "{printed} derives {table}, and there is no such table", printed=printed, table=table
        )
        return
    copied, cells = derivation.get("rows", {}), derivation["cells"]
    read = [*copied.values(), *(cell["from"] for cell in cells)]
    written = [*copied, *derivation.get("constants", {}), *(cell["to"] for cell in cells)]
    for cell in cells:
        written += cell.get("set", {})
        if "known_by" in cell:
            written.append(cell.get("known_by_column", "known_by"))
            read += [word for word in [cell["known_by"]] if word not in KNOWN_BY]
    yield from _lacking(printed, columns[printed], read, say("derivation"))
    yield from _lacking(table, columns[table], written, say("derivation"))


def _linked(
    name: str, foreign: Mapping[str, Any], columns: Mapping[str, list[str]]
) -> Iterator[str]:
    reference = foreign["reference"]
    target = reference.get("resource") or name
    own, there = (
        [fields] if isinstance(fields, str) else fields
        for fields in (foreign["fields"], reference["fields"])
    )
    if target not in columns:
        yield say(
            "a foreign key of {table} leads to {target}, and there is no such table",
            table=name,
            target=target,
        )
        return
    if len(own) != len(there):
        yield say("a foreign key of {table} has not as many columns as it leads to", table=name)
    yield from _lacking(name, columns[name], own, say("foreign key"))
    yield from _lacking(target, columns[target], there, say("foreign key"))


def _lacking(table: str, there: list[str], named: Any, what: str) -> Iterator[str]:
    for column in named:
        if column not in there:
            yield say(
                "the {what} of {table} names the column {column}, which it does not have",
                what=what,
                table=table,
                column=column,
            )
