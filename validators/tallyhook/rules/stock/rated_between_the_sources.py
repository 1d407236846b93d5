"""A rating lies between those of two sources and agrees with neither.

## What it checks
The load of every chain, chain hook, grab hook and chain sling. It speaks when the load is above
one published rating of that size and grade, below another, and equal to none.

## Why it matters
No document stands behind the number. It may promise more than the scheme the part was made to.

## Likely cause
A digit typed wrong, or a rating converted twice.

## Example
| row | kind  | grade | size_mm | wll       | finding |
| --- | ----- | ----- | ------- | --------- | ------- |
| 2   | chain | 80    | 20      | 12,500 kg |         |
| 3   | chain | 80    | 20      | 12,650 kg | wll     |
| 4   | chain | 80    | 20      | 12,800 kg |         |

Row 4 is 28,300 lb, cut to the hundred. The `findings`, whole:

| row | observed  | expected  | ratio | source   | locator                         | note                                                     |
| --- | --------- | --------- | ----- | -------- | ------------------------------- | -------------------------------------------------------- |
| 3   | 12,650 kg | 12,500 kg | 1.012 | en-818-2 | table of dimensions and ratings | only the maker's certificate can confirm a higher rating |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import CERTIFICATE, ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import rating_findings


@rule(severity=ERROR, reads="items", since="0.1.0")
def rated_between_the_sources(items: pl.DataFrame) -> pl.DataFrame:
    within = pl.col("wll_kg").is_between("low_kg", "high_kg")
    contradicted = pl.col("outcome") == "contradicted"
    return rating_findings(items.filter(contradicted & within), note=say(CERTIFICATE))
