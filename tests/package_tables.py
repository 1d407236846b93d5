"""Tables for tests of package rules, written as the Markdown tables of rule examples."""

from __future__ import annotations

from typing import Any

import pandas as pd

from example_tables import example_tables
from tallyhook.rules import rule_named

TEXT_COLUMNS = frozenset(
    [
        "value",
        "printed",
        "data",
        "size_in",
        "name",
        "interval",
        "choke_angle",
        "printed_value",
        "hook_number",
        "locator",
        "observed",
        "example",
        "condition",
        "changelog_version",
        "version",
        "item",
        "key",
    ]
)
"""Columns that hold text even where it looks like a number."""
VIEWS_OF_NUMBERS = {"values": "value", "files": "bytes"}


def frames(text: str, default: str = "") -> dict[str, pd.DataFrame]:
    """Read the tables of an example: numbers where a column holds numbers, indexed by row."""
    return {name: _frame(name, rows) for name, rows in example_tables(text, default).items()}


def found(rule: str, text: str) -> list[tuple[Any, ...]]:
    """Run a rule on tables; give row, column, observed and expected of each finding."""
    each = rule_named(rule)
    tables = frames(text, each.reads[0])
    result = each.check(*(tables[name] for name in each.reads))
    columns = ["row", "column", "observed", "expected"]
    plain = result[columns].astype(object).where(result[columns].notna(), None)
    return sorted(
        (tuple(_rounded(v) for v in line) for line in plain.itertuples(index=False)), key=str
    )


def marked(tables: dict[str, pd.DataFrame]) -> set[tuple[str, int, str]]:
    """Say which findings the `finding` columns announce: table, row, column."""
    return {
        (name, int(row), column.strip())
        for name, table in tables.items()
        if "finding" in table
        for row, columns in table["finding"].items()
        for column in columns.split(",")
        if column
    }


def _frame(name: str, rows: list[dict[str, str]]) -> pd.DataFrame:
    frame = pd.DataFrame(rows).set_index("row")
    frame.index = frame.index.astype(int)
    for column in frame.columns:
        cells = frame[column]
        if column == "key" and name == "values":
            frame[column] = cells == "True"
        elif set(cells) - {""} and set(cells) <= {"true", "false", ""}:
            # as a frame of a package has it: objects where some are missing
            said = cells.map({"true": True, "false": False, "": None})
            frame[column] = said if "" in set(cells) else said.astype(bool)
        elif column == VIEWS_OF_NUMBERS.get(name) or column not in TEXT_COLUMNS:
            try:
                frame[column] = pd.to_numeric(cells.replace("", None))
            except ValueError:
                frame[column] = cells
            if column == "finding" or frame[column].isna().all():
                frame[column] = (
                    cells if column in ("finding", "size_in") else frame[column].astype(float)
                )
    return frame


def _rounded(value: Any) -> Any:
    return round(float(value), 4) if isinstance(value, float) else value
