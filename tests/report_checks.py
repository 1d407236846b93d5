"""Holds what the check writes for programs against its schemas, whole."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator
from functools import cache, wraps
from typing import Any

import jsonschema
import polars as pl

from tallyhook.reporting.json_schemas import report_schema

__all__ = [
    "is_valid",
    "valid_csv",
    "valid_findings",
    "valid_json",
    "valid_ndjson",
    "valid_parquet",
    "valid_summary",
    "watched",
]


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
    schema = {n: v for n, v in report_schema().items() if n != "oneOf"} | {
        "$ref": f"#/$defs/{form}"
    }
    wrong = next(jsonschema.Draft202012Validator(schema).iter_errors(told), None)
    assert wrong is None, f"{wrong and wrong.json_path}: {wrong and wrong.message[:2000]}"
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


def valid_csv(text: str) -> list[dict[str, Any]]:
    """Read the CSV of reports as the records that it holds, and hold each against its schema."""
    records = []
    for cells in csv.DictReader(io.StringIO(text, newline="")):
        decided = {
            n.split(".")[1]: c or None for n, c in cells.items() if n.startswith("decision.")
        }
        plain = {n: c for n, c in cells.items() if not n.startswith("decision.")}
        row = {name: _from_cell(name, cell) for name, cell in plain.items()}
        records.append(row | {"decision": decided if decided["decision"] else None})
    return _valid_records(records)


def valid_parquet(content: bytes) -> list[dict[str, Any]]:
    """Read the Parquet of reports as the records that it holds, each held against its schema."""
    return _valid_records(pl.read_parquet(io.BytesIO(content)).to_dicts())


def valid_findings(frame: pl.DataFrame) -> list[dict[str, Any]]:
    """Hold each finding of a frame against the schema of a finding."""
    return _valid_records([finding | {"record": "finding"} for finding in frame.to_dicts()])


def _valid_records(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    definitions = report_schema("report-record")["$defs"]
    records = []
    for row in rows:
        fields = definitions[row["record"]]["properties"]
        record = {name: row[name] for name in fields}
        if row["record"] == "finding":  # a table has both columns
            del record["rows" if record["rows"] is None else "row"]
        _validator("report-record").validate(record)
        # what is of another kind of record is empty
        assert not any(value for name, value in row.items() if name not in fields), row
        records.append(record)
    return records


_NUMBERS = (
    "row", "size_mm", "grade", "legs", "wll_kg", "observed_kg", "expected_kg", "ratio", "confidence",
)  # fmt: skip


def _from_cell(name: str, cell: str) -> Any:
    if name == "rows":
        return [int(row) for row in cell.split(";")] if cell else None
    if name == "other_causes":
        return cell.split(";") if cell else []
    if name in _NUMBERS and cell:
        return float(cell) if "." in cell else int(cell)
    return cell or None


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
