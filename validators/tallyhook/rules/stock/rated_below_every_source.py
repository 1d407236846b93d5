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
| row | kind  | grade | size_mm | wll      | finding |
| --- | ----- | ----- | ------- | -------- | ------- |
| 2   | chain | 80    | 10      | 3,200 kg |         |
| 3   | chain | 80    | 10      | 2,000 kg | wll     |
| 4   | chain | 80    | 10      | 3,100 kg |         |

Row 4 is 3,150 kg with its last figure cut off. The `findings`, whole:

| row | observed | expected | ratio | source   | locator                         | note                                                     |
| --- | -------- | -------- | ----- | -------- | ------------------------------- | -------------------------------------------------------- |
| 3   | 2,000 kg | 3,150 kg | 0.635 | en-818-2 | table of dimensions and ratings | only the maker's certificate can confirm a higher rating |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import CERTIFICATE, ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import rating_findings


@rule(severity=ERROR, reads="items", since="0.1.0")
def rated_below_every_source(items: pl.DataFrame) -> pl.DataFrame:
    below = pl.col("wll_kg") < pl.col("low_kg")
    contradicted = pl.col("outcome") == "contradicted"
    return rating_findings(items.filter(contradicted & below), note=say(CERTIFICATE))
