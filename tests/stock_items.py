"""Items for tests: the example tables of stock rules, and short ways to write a row."""

from __future__ import annotations

from typing import Any

import polars as pl

from tallyhook.matching.match import MATCH_COLUMNS, match
from tallyhook.model.items import ITEM_SCHEMA, items_frame

HEADINGS = {
    "wll_column": "wll",
    "wll2_column": "wll2",
    "breaking_column": "breaking",
    "proof_column": "proof",
    "design_factor_column": "design_factor",
}
"""In examples a column is called by what it holds, and that is its heading."""


def example_items(rows: list[dict[str, str]], reference: pl.DataFrame) -> pl.DataFrame:
    """Build matched items from an example table; its own match columns win over the match."""
    items = items_frame(HEADINGS | {"wll_text": "listed"} | _typed(row) for row in rows)
    items = items.with_columns(pl.col("wll_value").fill_null(pl.col("wll_kg")))
    matched = match(items, reference)
    for column in MATCH_COLUMNS:
        given = [row.get(column, "") for row in rows]
        if any(given):
            dtype = matched.schema[column]
            values = [_cast(text, dtype) for text in given]
            matched = matched.with_columns(pl.Series(column, values, dtype=dtype))
    return matched


def _typed(row: dict[str, str]) -> dict[str, Any]:
    return {c: _cast(text, ITEM_SCHEMA[c]) for c, text in row.items() if c in ITEM_SCHEMA}


def _cast(text: str, dtype: Any) -> Any:
    if text == "":
        return None
    return text if dtype == pl.String else int(text) if dtype == pl.Int64 else float(text)
