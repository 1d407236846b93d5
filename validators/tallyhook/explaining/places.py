"""Where the compared rows of a list stand, column by column: neighbours are what blocks are of."""

from __future__ import annotations

import polars as pl

__all__ = ["columns_of", "compared_rows", "placed"]


def columns_of(distinct: pl.DataFrame) -> pl.DataFrame:
    """Number the rating columns of a list: ``key`` of each compared item and its ``_column``.

    Of two columns with one rating in two units it is the first, whichever was held.
    """
    column = ["sheet", "wll_column"]
    first = pl.when("by_second").then("wll2_column").otherwise("wll_column").alias("wll_column")
    compared = distinct.filter(pl.col("outcome") != "not compared").select("key", "sheet", first)
    numbered = compared.select(column).unique(maintain_order=True).with_row_index("_column")
    joined = compared.join(numbered, on=column, nulls_equal=True, maintain_order="left")
    return joined.select("key", "_column")


def placed(rows: pl.DataFrame, columns: pl.DataFrame, keys: pl.Series) -> pl.DataFrame:
    """Give the rows of some items their ``_place`` among the compared rows of the rating column."""
    compared = _with_column(rows, columns).with_row_index("_at")
    found = compared.filter(pl.col("key").is_in(keys.implode()))
    numbers = columns["_column"].unique().sort().to_list()
    column = pl.col("_column")
    before = (
        compared.select(pl.arg_where(column == n)).to_series().search_sorted(found["_at"])
        for n in numbers
    )
    place = pl.coalesce(
        pl.lit(None, dtype=pl.UInt32),
        *(pl.when(column == n).then(pl.col(f"before {n}")) for n in numbers),
    )
    return found.with_columns(
        count.alias(f"before {n}") for n, count in zip(numbers, before, strict=True)
    ).select(pl.col("row").cast(pl.Int64), "key", "_column", place.cast(pl.Int64).alias("_place"))


def compared_rows(rows: pl.DataFrame, columns: pl.DataFrame) -> dict[int, int]:
    """Count the compared rows of each rating column."""
    counted = _with_column(rows, columns)["_column"].value_counts()
    return dict(counted.drop_nulls().iter_rows())


def _with_column(rows: pl.DataFrame, columns: pl.DataFrame) -> pl.DataFrame:
    """Give the compared rows the number of their rating column."""
    last = rows.select(pl.col("key").max()).item() or 0
    every = pl.DataFrame({"key": pl.int_range(last + 1, dtype=pl.UInt32, eager=True)})
    lookup = every.join(columns, on="key", how="left", maintain_order="left")["_column"]
    found = rows.select("row", "key", lookup.gather(rows["key"]).alias("_column"))
    if (found["row"] == found["row"].shift()).any():  # a matrix: a row holds several items
        found = found.drop_nulls("_column")
        found = found.unique(["row", "_column"], keep="first", maintain_order=True)
    return found
