"""A rating lies between those of two sources and agrees with neither.

## What it checks
The load of every chain, chain hook, grab hook and chain sling. It speaks when the load is above
one published rating of that size and grade, below another, and equal to none.

## Why it matters
No document stands behind the number. It may promise more than the scheme the part was made to.

## Likely cause
A digit typed wrong, or a rating converted twice.

## Example
| row | kind  | grade | size_mm | wll_kg  | wll_unit | wll_step_kg | finding |
| --- | ----- | ----- | ------- | ------- | -------- | ----------- | ------- |
| 2   | chain | 80    | 20      | 12500   | kg       | 100         |         |
| 3   | chain | 80    | 20      | 12650   | kg       | 10          | wll     |
"""

from __future__ import annotations

import polars as pl

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import rating_findings
from tallyhook.rules.stock.rated_below_every_source import CERTIFICATE


@rule(severity=ERROR, reads="items", since="0.1.0")
def rated_between_the_sources(items: pl.DataFrame) -> pl.DataFrame:
    within = pl.col("wll_kg").is_between("low_kg", "high_kg")
    contradicted = pl.col("outcome") == "contradicted"
    return rating_findings(items.filter(contradicted & within), note=CERTIFICATE)
