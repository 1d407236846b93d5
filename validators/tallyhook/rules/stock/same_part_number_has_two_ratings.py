"""One part number stands in the list with two different ratings.

## What it checks
Rows with the same part number. It speaks when their loads differ by more than rounding.

## Why it matters
One of the two numbers is wrong, whatever the tables say.

## Likely cause
A row was copied and only half changed, or one of the two was corrected and the other forgotten.

## Example
| row | part | wll      | finding |
| --- | ---- | -------- | ------- |
| 2   | A-1  | 3.2 t    | part    |
| 3   | A-1  | 2 t      | part    |
| 4   | B-7  | 3.2 t    |         |
| 5   | B-7  | 7,100 lb |         |

The `findings`, whole:

| row | observed        | expected                              | source | note                                                          |
| --- | --------------- | ------------------------------------- | ------ | ------------------------------------------------------------- |
| 2   | A-1 rated 3.2 t | one rating (row 2: 3.2 t; row 3: 2 t) |        | the maker's certificate of this part decides which one stands |
| 3   | A-1 rated 2 t   | one rating (row 2: 3.2 t; row 3: 2 t) |        | the maker's certificate of this part decides which one stands |
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.tolerances import ROUNDING
from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import findings

_SHOWN = 6  # rows of one part number that a finding lists


@rule(severity=ERROR, reads="items", since="0.1.0", across="part")
def same_part_number_has_two_ratings(items: pl.DataFrame) -> pl.DataFrame:
    read = items.select("sheet", "row", "part", "wll_kg").filter(
        pl.col("part").is_not_null() & pl.col("wll_kg").is_not_null()
    )
    rated = read.group_by("part").agg(
        pl.col("wll_kg").min().alias("lowest"),
        pl.col("wll_kg").max().alias("highest"),
        # a matrix list gives one part number a rating per cell on purpose, all in one row
        pl.struct("sheet", "row").n_unique().alias("rows_of_part"),
    )
    differing = rated.filter(
        (pl.col("rows_of_part") > 1) & (pl.col("highest") > pl.col("lowest") * (1 + ROUNDING))
    ).select("part")
    broken = items.filter(pl.col("wll_kg").is_not_null()).join(
        differing, on="part", how="semi", maintain_order="left"
    )
    each = say_each("row {row}: {rating}", row="row", rating="wll_text")
    listed = broken.group_by("part").agg(each.head(_SHOWN).str.join("; ").alias("all_of_them"))
    broken = broken.join(listed, on="part", how="left", maintain_order="left")
    return findings(
        broken,
        column="part",
        observed=say_each("{part} rated {rating}", part="part", rating="wll_text"),
        expected=say_each("one rating ({ratings})", ratings="all_of_them"),
        note=say("the maker's certificate of this part decides which one stands"),
        observed_kg=pl.col("wll_kg"),
    )
