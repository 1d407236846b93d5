"""Holds what the check writes for programs against its schemas, whole."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from functools import cache, wraps
from typing import Any

import jsonschema

from tallyhook.reporting.json_schemas import report_schema

__all__ = ["is_valid", "valid_json", "valid_ndjson", "valid_summary", "watched"]


@cache
def _validator(name: str) -> jsonschema.Draft202012Validator:
    schema = report_schema(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def is_valid(told: Any, name: str = "report") -> bool:
    """Whether a record is as a schema says."""
    return bool(_validator(name).is_valid(told))


def valid_json(text: str) -> dict[str, Any]:
    """Read the JSON of a report, or of those of several lists, and hold it against its schema."""
    told: dict[str, Any] = json.loads(text)
    # of the two forms, the one that it is: the message then names what is wrong in it
    form = "reports" if "lists" in told else "report"
    schema = report_schema() | {"oneOf": [{"$ref": f"#/$defs/{form}"}]}
    jsonschema.Draft202012Validator(schema).validate(told)
    return told


def valid_ndjson(text: str) -> list[dict[str, Any]]:
    """Read the records of reports and hold each line against its schema."""
    records: list[dict[str, Any]] = [json.loads(line) for line in text.splitlines()]
    for record in records:
        _validator("report-record").validate(record)
    return records


def valid_summary(text: str) -> dict[str, Any]:
    """Read the summary of a feed and hold it against its schema."""
    told: dict[str, Any] = json.loads(text)
    _validator("feed-summary").validate(told)
    return told


def watched(
    pieces: Callable[..., Iterator[str]], valid: Callable[[str], Any]
) -> Callable[..., Iterator[str]]:
    """Let what writes a text piece by piece give the same, and hold the whole against its schema."""

    @wraps(pieces)
    def written(*args: Any, **more: Any) -> Iterator[str]:
        told = []
        for piece in pieces(*args, **more):
            told.append(piece)
            yield piece
        valid("".join(told))

    return written
