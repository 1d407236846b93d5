"""The JSON Schemas of what is written for programs, each with its version in its name."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.messages import say

__all__ = ["SCHEMAS", "SCHEMA_VERSION", "report_schema"]

SCHEMA_VERSION = "2.0"
"""The version of the form of reports: MAJOR when those who read them must change, else MINOR."""

Schema = dict[str, Any]

_SHIPPED = Path(__file__).resolve().parent / "assets" / "report.schema.json"


def report_schema(name: str = "report") -> Schema:
    """Give a JSON Schema (draft 2020-12) of what tallyhook writes.

    Parameters
    ----------
    name : str
        ``report`` for ``--format json``, ``report-record`` for a line of ``--format ndjson``,
        ``feed-summary`` for the ``summary.json`` of a feed, ``diff`` for ``tallyhook diff --format
        json``.

    Raises
    ------
    TallyhookError
        There is no such schema.

    Examples
    --------
    >>> report_schema()["$id"]
    'urn:tallyhook:report:2.0'
    """
    if name not in SCHEMAS:
        raise TallyhookError(
            say("there is no schema '{name}'", name=name),
            next_step=say("use one of {known}", known=", ".join(SCHEMAS)),
        )
    return SCHEMAS[name](json.loads(_SHIPPED.read_text(encoding="utf-8")))


def _of_reports(report: Schema) -> Schema:
    return report


def _of_records(report: Schema) -> Schema:
    """The same records as in the report, each with what it is and its file."""
    told = report["$defs"]
    records = {
        "report": _record("report", told["report"], without=("findings", "items", "not_compared")),
        **{name: _record(name, told[name]) for name in ("finding", "item", "not_compared")},
        "sheet_not_checked": _record("sheet_not_checked", told["unchecked_sheet"]),
        "incomplete": _record("incomplete", told["reason"]),
        "list_not_checked": _record("list_not_checked", told["list_not_checked"]),
    }
    return {
        "$schema": report["$schema"],
        "$id": f"urn:tallyhook:report-record:{SCHEMA_VERSION}",
        "title": "Record of a report of tallyhook check",
        "description": "A line of the output of `tallyhook check LIST ... --format ndjson`.",
        "oneOf": [{"$ref": f"#/$defs/{name}"} for name in records],
        "$defs": {n: d for n, d in told.items() if n not in ("report", "reports")} | records,
    }


def _record(name: str, told: Schema, without: Sequence[str] = ()) -> Schema:
    own = {"record": {"const": name}}
    if name != "report":  # it has the whole list
        own["file"] = {"type": "string"}
    fields = own | {field: of for field, of in told["properties"].items() if field not in without}
    required = [field for field in told["required"] if field not in (*own, *without)]
    return told | {"required": [*own, *required], "properties": fields}


def _of_comparisons(_: Schema) -> Schema:
    from tallyhook.packages.diff import diff_schema  # a check has no use for it

    return diff_schema()


def _of_summaries(report: Schema) -> Schema:
    told = report["$defs"]
    own = (
        "tool", "version", "schema_version", "packages", "counts", "compared", "complete",
        "incomplete",
    )  # fmt: skip
    file = {
        "file": {"type": "string"},
        "first_row": {"description": "Its first row in the feed.", **_ref("row")},
        "rows": _ref("count"),
        "findings": {"description": "The Parquet file of its findings.", "type": "string"},
    }
    fields = {
        **{name: told["report"]["properties"][name] for name in own},
        "feed": {"description": "The pattern of its files.", "type": "string"},
        "passed_over": told["list"]["properties"]["passed_over"],
        "files": {"type": "array", "items": _object(file)},
        "crashed": {
            "description": "Rules that crashed, and how.",
            "type": "object",
            "additionalProperties": {"type": "string"},
        },
    }
    return {
        "$schema": report["$schema"],
        "$id": f"urn:tallyhook:feed-summary:{SCHEMA_VERSION}",
        "title": "Summary of the check of a feed",
        "description": "summary.json of `tallyhook check PATTERN --engine dask -o FOLDER`.",
        **_object(fields),
        "$defs": {n: d for n, d in told.items() if n not in ("report", "reports")},
    }


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _object(fields: Schema) -> Schema:
    return {
        "type": "object",
        "required": list(fields),
        "additionalProperties": False,
        "properties": fields,
    }


SCHEMAS: dict[str, Callable[[Schema], Schema]] = {
    "report": _of_reports,
    "report-record": _of_records,
    "feed-summary": _of_summaries,
    "diff": _of_comparisons,
}
"""The schemas by name, those of the check made from that of the report, which is shipped here."""
