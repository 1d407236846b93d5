"""A rating is lower than every source gives for that kind, size and grade.

## What it checks
The load of every chain, chain hook, grab hook and chain sling against the ratings of all the
schemes that the row may claim. It speaks when the load agrees with none and lies below the
lowest of them.

## Why it matters
The number is wrong on the safe side, and a wrong number in one row casts doubt on its
neighbours. Only the maker's certificate can confirm a higher rating.

## Likely cause
Kilograms in a pound column, the row of a smaller size or a weaker grade, a deduction taken
twice, a lost digit.

## Example
| row | kind  | grade | size_mm | wll_kg  | wll_unit | wll_step_kg | finding |
| --- | ----- | ----- | ------- | ------- | -------- | ----------- | ------- |
| 2   | chain | 80    | 10      | 3200    | kg       | 100         |         |
| 3   | chain | 80    | 10      | 2000    | kg       | 10          | wll     |
"""

from __future__ import annotations

import polars as pl

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import rating_findings

CERTIFICATE = "only the maker's certificate can confirm a higher rating"


@rule(severity=ERROR, reads="items", since="0.1.0")
def rated_below_every_source(items: pl.DataFrame) -> pl.DataFrame:
    below = pl.col("wll_kg") < pl.col("low_kg")
    contradicted = pl.col("outcome") == "contradicted"
    return rating_findings(items.filter(contradicted & below), note=CERTIFICATE)
