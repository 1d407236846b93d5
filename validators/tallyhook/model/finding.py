"""The finding: its fields, and how bad it can be."""

from __future__ import annotations

import polars as pl

from tallyhook.messages import to_say

__all__ = [
    "ACCEPT",
    "CERTIFICATE",
    "CORRECT",
    "DANGER",
    "DECISION",
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

ACCEPT, CORRECT = "accept", "correct"
"""What may be decided on a finding: it is right as it is, or the list will be corrected."""

DECISION = pl.Struct(
    dict.fromkeys(("decision", "who", "why", "date", "expires", "document"), pl.String)
)
"""What was decided on a finding, as the file of decisions says it."""

_NUMBERS = {"row": pl.Int64, "ratio": pl.Float64, "confidence": pl.Float64}

_OF_A_STOCK_LIST: dict[str, pl.DataType | type[pl.DataType]] = {
    "rows": pl.List(pl.Int64),  # of a finding about a column or a block, in place of `row`
    "part": pl.String,
    "rating_id": pl.String,  # of the published rating that is expected
    "observed_kg": pl.Float64,  # where what was observed is one load
    "expected_kg": pl.Float64,  # where what is expected is one published rating
    "decision": DECISION,
}

STOCK_FINDING_SCHEMA: dict[str, pl.DataType | type[pl.DataType]] = {
    **{name: _NUMBERS.get(name, pl.String) for name in FINDING_COLUMNS},
    "other_causes": pl.List(pl.String),
    **_OF_A_STOCK_LIST,
}
"""The columns of a frame of findings about a stock list."""

REPORTED_FINDING = (
    "rule", "severity", "file", "sheet", "row", "rows", "column", "item", "part", "index",
    "rating_id", "observed", "observed_kg", "expected", "expected_kg", "ratio", "decision",
    "cause", "confidence", "other_causes", "source", "locator", "note",
)  # fmt: skip
"""The fields that a report gives of every finding, in order; ``index`` is of the list's frame."""
