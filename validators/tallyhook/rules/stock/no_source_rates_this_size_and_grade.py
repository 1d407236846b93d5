"""No rating table has this size in this grade.

## What it checks
Chain, chain hooks, grab hooks and chain slings whose size and grade could both be read, against
the sizes and grades that any table rates.

## Why it matters
The row cannot be checked, and a size that nobody rates is often a size or a grade typed wrong.

## Likely cause
A neighbouring size name (12 mm for 13), a grade from another family, a slip in the size column.

## Example
| row | kind  | grade | size_mm | wll_kg | finding |
| --- | ----- | ----- | ------- | ------ | ------- |
| 2   | chain | 80    | 10      | 3200   |         |
| 3   | chain | 80    | 17      | 9000   | size    |
"""

from __future__ import annotations

import polars as pl

from tallyhook.rules import WARNING, rule
from tallyhook.rules.stock import findings, plain

COMPARED = ("chain", "hook", "grab-hook", "sling")


@rule(severity=WARNING, reads=("items", "reference"), since="0.1.0")
def no_source_rates_this_size_and_grade(
    items: pl.DataFrame, reference: pl.DataFrame
) -> pl.DataFrame:
    read = items.filter(
        pl.col("kind").is_in(COMPARED)
        & pl.col("size_mm").is_not_null()
        & pl.col("grade").is_not_null()
    )
    rated = reference.select("kind", "grade", "size_mm").unique()
    broken = read.join(
        rated, on=["kind", "grade", "size_mm"], how="anti", maintain_order="left"
    ).join(
        rated,
        left_on=["kind", "grade", "size_mm_to"],
        right_on=["kind", "grade", "size_mm"],
        how="anti",
        maintain_order="left",
    )
    sizes = (
        rated.sort("size_mm")
        .group_by("kind", "grade")
        .agg(pl.format("{} mm", plain("size_mm")).str.join(", ").alias("sizes"))
    )
    broken = broken.join(sizes, on=["kind", "grade"], how="left", maintain_order="left")
    known = pl.format("one of the rated sizes: {}", "sizes")
    return findings(
        broken,
        column="size",
        observed=pl.format("{} mm grade {}", plain("size_mm"), "grade"),
        expected=pl.coalesce(
            known, pl.lit("a grade that a table rates: 30, 43, 70, 80, 100 or 40")
        ),
    )
