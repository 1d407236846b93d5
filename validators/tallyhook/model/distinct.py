"""The items of a list, each distinct one once, and the rows that hold it.

A list of ten million rows holds some thousands of different items. Whatever follows from an
item's own words and numbers is worked out once for each of them; the rows keep only their
number, their part number and the key of their item.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import polars as pl

from tallyhook.model.items import ITEM_SCHEMA

__all__ = [
    "OF_THE_ROW",
    "ROW_SCHEMA",
    "DistinctItems",
    "distinct_items",
    "items_of_rows",
    "join_distinct_items",
]

OF_THE_ROW = ("row", "part")
"""What belongs to a row and not to the item that it holds."""

ROW_SCHEMA: dict[str, type[pl.DataType]] = {
    "row": pl.UInt32,
    "part": pl.String,
    "key": pl.UInt32,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DistinctItems:
    """Distinct items and rows.

    `distinct` holds the columns of an item except those of `OF_THE_ROW`, with ``key`` (its
    place, from 0) and ``times`` (the rows that hold it). `rows` is as `ROW_SCHEMA`, in the
    order of the list; a row of a matrix stands once for each of its items.
    """

    distinct: pl.DataFrame = field(repr=False)
    rows: pl.DataFrame = field(repr=False)

    def items(self, rows: pl.DataFrame | None = None) -> pl.DataFrame:
        """Write the items out again, one a row: all of them, or those of some rows."""
        return items_of_rows(self.rows if rows is None else rows, self.distinct)


def items_of_rows(rows: pl.DataFrame, distinct: pl.DataFrame) -> pl.DataFrame:
    """Write out the items of some rows, one a row; both frames are as in `DistinctItems`."""
    columns = [c for c in distinct.columns if c not in ("key", "times")]
    found = rows.join(
        distinct.drop("times"), on="key", how="left", maintain_order="left"
    ).with_columns(pl.col("row").cast(pl.Int64))
    first = [c for c in ITEM_SCHEMA if c in (*columns, *OF_THE_ROW)]
    return found.select(*first, *(c for c in columns if c not in first))


def distinct_items(items: pl.DataFrame) -> DistinctItems:
    """Find the distinct ones of items that are written out one a row."""
    own = [c for c in items.columns if c not in OF_THE_ROW]
    counted = (
        items.select(own)
        .group_by(own, maintain_order=True)
        .agg(pl.len().alias("times"))
        .with_row_index("key")
    )
    rows = items.join(counted, on=own, how="left", nulls_equal=True, maintain_order="left")
    return DistinctItems(
        distinct=counted, rows=rows.select(pl.col(c).cast(t) for c, t in ROW_SCHEMA.items())
    )


def join_distinct_items(parts: Sequence[DistinctItems]) -> DistinctItems:
    """Put the items of several tables of a list one after the other."""
    if not parts:
        return distinct_items(pl.DataFrame(schema=ITEM_SCHEMA))
    if len(parts) == 1:
        return parts[0]
    distinct, rows, offset = [], [], 0
    for part in parts:
        move = (pl.col("key") + offset).cast(pl.UInt32)
        distinct.append(part.distinct.with_columns(move))
        rows.append(part.rows.with_columns(move))
        offset += part.distinct.height
    return DistinctItems(distinct=pl.concat(distinct), rows=pl.concat(rows))
