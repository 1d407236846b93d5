"""The finding: its fields, and how bad it can be."""

from __future__ import annotations

import polars as pl

from tallyhook.messages import to_say

__all__ = [
    "CERTIFICATE",
    "DANGER",
    "ERROR",
    "FINDING_COLUMNS",
    "NOTE",
    "REPORTED_FINDING",
    "SEVERITIES",
    "STOCK_FINDING_SCHEMA",
    "WARNING",
]

DANGER, ERROR, WARNING, NOTE = "danger", "error", "warning", "note"
SEVERITIES = (DANGER, ERROR, WARNING, NOTE)
"""Worst first."""

CERTIFICATE = to_say("only the maker's certificate can confirm a higher rating")
"""What is said of every load below its rating."""

FINDING_COLUMNS = (
    "rule", "severity", "file", "sheet", "row", "column", "item", "observed", "expected", "ratio",
    "cause", "confidence", "other_causes", "source", "locator", "note",
)  # fmt: skip
"""The fields of a finding, in order; `row` is the line that the file or spreadsheet shows."""

_NUMBERS = {"row": pl.Int64, "ratio": pl.Float64, "confidence": pl.Float64}

STOCK_FINDING_SCHEMA: dict[str, pl.DataType | type[pl.DataType]] = {
    **{name: _NUMBERS.get(name, pl.String) for name in FINDING_COLUMNS},
    "other_causes": pl.List(pl.String),
    "rows": pl.List(pl.Int64),  # for a finding about a column or a block, in place of `row`
}
"""The columns of a frame of findings about a stock list."""

_OF_THE_LIST = ("file", "sheet")

REPORTED_FINDING = tuple(
    name
    for column in FINDING_COLUMNS
    if column not in _OF_THE_LIST
    for name in ((column, "rows") if column == "row" else (column,))
)
"""The fields that a report gives of every finding, in order; a list of several sheets adds it."""
