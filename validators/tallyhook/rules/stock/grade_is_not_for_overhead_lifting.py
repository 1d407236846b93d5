"""A grade that is not for overhead lifting is sold for lifting.

## What it checks
Rows that say they are for overhead lifting, and all slings, against the grades that the chain
specifications allow for it.

## Why it matters
Proof coil, high test and transport chain is made for towing, tie-down and other uses. It gives
little warning before it breaks; alloy chain stretches first.

## Likely cause
The words were copied from the alloy row, or the grade column slipped by a row.

## Example
| row | kind  | grade | scheme | overhead | finding |
| --- | ----- | ----- | ------ | -------- | ------- |
| 2   | chain | 80    |        | yes      |         |
| 3   | chain | 70    |        | yes      | grade   |
| 4   | chain | 70    |        | no       |         |
| 5   | sling | 43    |        |          | grade   |
"""

from __future__ import annotations

import polars as pl

from tallyhook.rules import DANGER, rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._lifting import never_for_lifting


@rule(severity=DANGER, reads=("items", "chain.grades"), since="0.1.0")
def grade_is_not_for_overhead_lifting(items: pl.DataFrame, grades: pl.DataFrame) -> pl.DataFrame:
    lifting = (pl.col("overhead") == "yes") | (pl.col("kind") == "sling")
    broken = items.filter(lifting.fill_null(False)).join(
        never_for_lifting(grades), on="grade", how="inner", maintain_order="left"
    )
    return findings(
        broken,
        column="grade",
        observed=pl.format("grade {} for overhead lifting", "grade"),
        expected="grade 80 or 100 alloy chain and fittings, or European grade 4, 8 or 10",
        source=pl.col("source"),
        locator=pl.col("locator"),
    )
