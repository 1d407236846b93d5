"""An item column is declared once: what every format writes of items follows from it."""

from __future__ import annotations

import json
from pathlib import Path

import polars as pl
import pytest

import tallyhook
from tallyhook.model.items import (
    ITEM_COLUMNS,
    ITEM_SCHEMA,
    REPORTED_ITEM,
    REPORTED_UNCOMPARED,
    TEXT_ROLES,
    items_frame,
)
from tallyhook.model.layout import ROLES
from tallyhook.reporting.json_schemas import report_schema

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "datasets" / "demo" / "harrow-and-pike.csv"

_JSON_TYPES = {pl.String: "string", pl.Float64: "number", pl.Int64: "integer"}
_TABLE_TYPES = {pl.String: "string", pl.Float64: "number", pl.Int64: "integer"}

DECLARED = {column.name: column for column in ITEM_COLUMNS}


def test_every_column_has_a_title_and_every_number_a_unit() -> None:
    assert len(DECLARED) == len(ITEM_COLUMNS)
    for column in ITEM_COLUMNS:
        assert column.title, column.name
        assert (column.unit is None) == (column.dtype == pl.String), column.name
        # the unit in the name and the unit declared are one
        for ending, unit in {"_mm": "mm", "_deg": "deg", "_kg": "kg", "_kn": "kN"}.items():
            assert not column.name.endswith(ending) or column.unit == unit, column.name


def test_what_reads_a_column_is_a_role_and_every_role_is_read() -> None:
    read = {role for column in ITEM_COLUMNS for role in column.roles}
    assert read == set(ROLES) - {"ignore"}
    assert set(TEXT_ROLES) == read - {"part", "supplier", "wll", "unit"}


def test_the_schema_of_the_report_describes_the_items_as_declared() -> None:
    told = report_schema()["$defs"]
    for fields, definition in (
        (REPORTED_ITEM, told["item"]),
        (REPORTED_UNCOMPARED, told["not_compared"]),
    ):
        assert definition["required"] == list(fields) == list(definition["properties"])
    for name, is_ in told["item"]["properties"].items():
        if name not in DECLARED or name == "row":
            continue
        is_, column = (
            told[is_["$ref"].removeprefix("#/$defs/")] if "$ref" in is_ else is_,
            DECLARED[name],
        )
        if column.values:
            assert is_["enum"] == list(column.values), name
        else:
            assert is_["type"] == [_JSON_TYPES[column.dtype], "null"], name


def test_the_json_of_a_report_has_these_fields_in_this_order() -> None:
    items = json.loads(tallyhook.check(DEMO).to_json())["items"]
    # the contract of the design, schema 2.0, with the sheet and the index of a frame
    assert list(items[0]) == [
        "sheet", "row", "column", "part", "index", "rating_id", "rating_known_by", "kind", "size_mm", "grade", "form", "connection", "legs", "wll_kg", "outcome",
    ]  # fmt: skip


def test_a_tidied_list_is_described_as_declared(tmp_path: Path) -> None:
    tallyhook.tidy(DEMO, tmp_path / "out")
    text = (tmp_path / "out" / "datapackage.json").read_text(encoding="utf-8")
    table = next(r for r in json.loads(text)["resources"] if r["name"] == "list")
    *fields, original = table["schema"]["fields"]
    assert original["name"] == "original"
    assert [f["name"] for f in fields] == list(ITEM_SCHEMA)
    for spec in fields:
        column = DECLARED[spec["name"]]
        assert spec["title"] == column.title
        assert spec.get("unit") == column.unit
        assert spec.get("description", "") == column.description
        assert spec["type"] == _TABLE_TYPES[column.dtype]
        assert spec.get("constraints", {}).get("enum", []) == list(column.values)


def test_a_record_of_an_unknown_column_is_refused() -> None:
    with pytest.raises(ValueError, match="items have no column 'weight'"):
        items_frame([{"row": 2, "weight": 1.0}])
    assert items_frame([{"row": 2}]).row(0) == (2, *[None] * (len(ITEM_COLUMNS) - 1))
