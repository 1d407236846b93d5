"""The schemas of reports: strict, versioned, and to be had in Python and on the command line.

A strict validator of JSON Schema (ajv, strict mode with strictTypes, strictTuples and
strictRequired) accepted them when they were written; its rules are held here.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import tallyhook
from command_line import here
from report_checks import is_valid
from tallyhook.errors import TallyhookError
from tallyhook.packages.diff import SCHEMA_VERSION as OF_COMPARISONS
from tallyhook.reporting.json_schemas import SCHEMA_VERSION, SCHEMAS, report_schema

# JSON Schema draft 2020-12: core, applicator, unevaluated, validation and meta-data vocabularies.
# "format" is left out: a strict validator refuses the formats that it was not taught.
KEYWORDS = {
    "$schema", "$id", "$ref", "$defs", "title", "description", "oneOf", "anyOf", "properties",
    "additionalProperties", "propertyNames", "items", "type", "enum", "const", "pattern", "minLength",
    "minimum", "maximum", "exclusiveMinimum", "minItems", "required",
}  # fmt: skip
OF_TYPE = {
    "object": {"properties", "additionalProperties", "propertyNames", "required"},
    "array": {"items", "minItems"},
    "string": {"pattern", "minLength"},
    "number": {"minimum", "maximum", "exclusiveMinimum"},
}

LIST = Path(__file__).resolve().parents[1] / "corpus" / "sections-workbook" / "list.xlsx"


def _schemas(schema: Any, types: tuple[str, ...] = ()) -> Iterator[tuple[dict[str, Any], Any]]:
    """Every schema in a schema, with the types that are said of its value there or around it."""
    if not isinstance(schema, dict):
        return
    own = schema.get("type", types)
    own = (own,) if isinstance(own, str) else tuple(own)
    yield schema, own
    for name in ("properties", "$defs"):
        for each in schema.get(name, {}).values():
            yield from _schemas(each)
    for name in ("oneOf", "anyOf"):
        for each in schema.get(name, []):
            yield from _schemas(each, own)
    for name in ("items", "additionalProperties", "propertyNames"):
        yield from _schemas(schema.get(name))


def _faults(whole: dict[str, Any]) -> Iterator[str]:
    for schema, types in _schemas(whole):
        plain = [t for t in types if t != "null"]
        if unknown := set(schema) - KEYWORDS:
            yield f"unknown {unknown}"
        if len(plain) > 1:
            yield f"a value of the types {plain}"
        for kind, keywords in OF_TYPE.items():
            numbers = kind == "number" and "integer" in plain
            if keywords & set(schema) and kind not in plain and not numbers:
                yield f"{keywords & set(schema)} without the type {kind}"
        if missing := set(schema.get("required", [])) - set(schema.get("properties", {})):
            yield f"{missing} required and not defined"
        if (
            "properties" in schema
            and "type" in schema
            and schema.get("additionalProperties") is not False
        ):
            yield f"an object may have any property beside {list(schema['properties'])}"
        if (ref := schema.get("$ref")) and ref.removeprefix("#/$defs/") not in whole["$defs"]:
            yield f"no {ref}"


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_schema_is_one_and_strict(name: str) -> None:
    schema = report_schema(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert list(_faults(schema)) == []
    # a comparison of packages has a form, and a version of it, of its own
    version = OF_COMPARISONS if name == "diff" else SCHEMA_VERSION
    assert schema["$id"] == f"urn:tallyhook:{name}:{version}"


@pytest.mark.parametrize(
    ("of", "change", "fault"),
    [
        ("item", {"type": ["object", "string"]}, "a value of the types ['object', 'string']"),
        ("item", {"additionalProperties": True}, "an object may have any property"),
        ("item", {"required": ["colour"]}, "{'colour'} required and not defined"),
        ("item", {"nullable": True}, "unknown {'nullable'}"),
        ("date", {"format": "date"}, "unknown {'format'}"),
        ("row", {"type": "string"}, "{'minimum'} without the type number"),
        ("slug", {"$ref": "#/$defs/snail"}, "no #/$defs/snail"),
    ],
)
def test_what_is_not_strict_is_seen(of: str, change: dict[str, Any], fault: str) -> None:
    schema = report_schema()
    schema["$defs"][of] |= change
    assert any(found.startswith(fault) for found in _faults(schema))


def test_no_object_of_a_report_takes_what_it_does_not_name() -> None:
    told = json.loads(tallyhook.check(LIST).to_json())
    assert is_valid(told)
    places = list(_objects(told))
    # mappings of names to counts and texts are open to names, and to nothing else
    assert len(places) > 20
    for place in places:
        place["colour"] = {"a": []}
        assert not is_valid(told)
        del place["colour"]


def _objects(told: Any) -> Iterator[dict[str, Any]]:
    if isinstance(told, dict):
        yield told
    for each in told.values() if isinstance(told, dict) else told if isinstance(told, list) else ():
        yield from _objects(each)


def test_the_command_prints_the_schema_that_python_gives() -> None:
    for name in SCHEMAS:
        done = here("schema", name)
        assert done.returncode == 0 and json.loads(done.stdout) == tallyhook.report_schema(name)
    assert here("schema").stdout == here("schema", "report").stdout


def test_a_schema_that_there_is_not_is_refused() -> None:
    with pytest.raises(TallyhookError, match=r"no schema 'nonsense'; use one of report, "):
        report_schema("nonsense")
    assert here("schema", "nonsense").returncode == 2


def test_what_is_shipped_cannot_be_changed_by_who_reads_it() -> None:
    report_schema()["title"] = "mine"
    assert report_schema()["title"] != "mine"
