"""The fields of a finding are declared once: report and schema follow."""

from __future__ import annotations

import json
from pathlib import Path

import polars as pl

from tallyhook.model.finding import (
    FINDING_COLUMNS,
    REPORTED_FINDING,
    SEVERITIES,
    STOCK_FINDING_SCHEMA,
)

ROOT = Path(__file__).resolve().parents[2]
DEFINITIONS = json.loads((ROOT / "docs" / "report.schema.json").read_text("utf-8"))["$defs"]

_JSON_TYPES = {pl.String: "string", pl.Float64: "number", pl.Int64: "integer"}


def test_the_fields_are_those_of_the_design() -> None:
    # the contract of the design: "A finding: rule, severity, file, sheet, row, column, ..."
    assert FINDING_COLUMNS == (
        "rule", "severity", "file", "sheet", "row", "column", "item", "observed", "expected",
        "ratio", "cause", "confidence", "other_causes", "source", "locator", "note",
    )  # fmt: skip
    assert set(STOCK_FINDING_SCHEMA) == {*FINDING_COLUMNS, "rows"}


def test_the_schema_of_the_report_describes_the_findings_as_declared() -> None:
    described = DEFINITIONS["finding_fields"]["properties"]
    assert [name for name in described if name != "sheet"] == list(REPORTED_FINDING)
    assert DEFINITIONS["severity"]["enum"] == list(SEVERITIES)
    for name, is_ in described.items():
        dtype = STOCK_FINDING_SCHEMA[name]
        if isinstance(dtype, pl.List):
            assert is_["type"] == "array", name
        elif "type" in is_:
            assert is_["type"] == [_JSON_TYPES[dtype], "null"], name  # type: ignore[index]
