"""The unread cells of items, one a row."""

from __future__ import annotations

import polars as pl

from tallyhook.matching.unread import unread_cells

__all__ = ["by_cell"]


def by_cell(items: pl.DataFrame) -> pl.DataFrame:
    """Give each unread cell of some items a row, with ``unread_`` before the names of its fields."""
    each = items.filter(pl.col("unread_cells").is_not_null())
    cells = each.with_columns(unread_cells()).explode("unread_cells")
    cell = pl.col("unread_cells").struct
    return cells.with_columns(
        cell.field(name).alias(f"unread_{name}") for name in ("role", "column", "cell", "why")
    )
