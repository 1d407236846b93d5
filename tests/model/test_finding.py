"""The fields of a finding are declared once: report and schema follow."""

from __future__ import annotations

import polars as pl

from tallyhook.model.finding import (
    FINDING_COLUMNS,
    REPORTED_FINDING,
    SEVERITIES,
    STOCK_FINDING_SCHEMA,
)
from tallyhook.reporting.json_schemas import report_schema

DEFINITIONS = report_schema()["$defs"]

_JSON_TYPES = {pl.String: "string", pl.Float64: "number", pl.Int64: "integer"}


def test_the_fields_are_those_of_the_design() -> None:
    # the contract of the design: "A finding: rule, severity, file, sheet, row, column, ..."
    assert FINDING_COLUMNS == (
        "rule", "severity", "file", "sheet", "row", "column", "item", "observed", "expected",
        "ratio", "cause", "confidence", "other_causes", "source", "locator", "note",
    )  # fmt: skip
    # and its contract of `check --format json`, schema 2.0
    assert set(STOCK_FINDING_SCHEMA) == {
        *FINDING_COLUMNS, "rows", "part", "rating_id", "observed_kg", "expected_kg", "decision",
    }  # fmt: skip


def test_the_schema_of_the_report_describes_the_findings_as_declared() -> None:
    described = DEFINITIONS["finding"]["properties"]
    assert list(described) == list(REPORTED_FINDING)
    assert set(REPORTED_FINDING) == {*STOCK_FINDING_SCHEMA, "index"}
    assert DEFINITIONS["severity"]["enum"] == list(SEVERITIES)
    decided = STOCK_FINDING_SCHEMA["decision"]
    assert isinstance(decided, pl.Struct)
    assert list(DEFINITIONS["decided"]["properties"]) == [part.name for part in decided.fields]
    for name in (name for name in described if name in FINDING_COLUMNS and name != "file"):
        is_, dtype = described[name], STOCK_FINDING_SCHEMA[name]
        if isinstance(dtype, pl.List):
            assert is_["type"] == "array", name
        elif "type" in is_:
            assert is_["type"] == [_JSON_TYPES[dtype], "null"], name  # type: ignore[index]
