"""The design factor that the row states is not its breaking force over its rating.

## What it checks
Rows that give a design factor, a breaking force and a rating.

## Why it matters
Three numbers of one row cannot all be right.

## Likely cause
One of the three was corrected and the others forgotten.

## Example
| row | wll      | breaking | design_factor | finding       |
| --- | -------- | -------- | ------------- | ------------- |
| 2   | 3,150 kg | 126 kN   | 4             |               |
| 3   | 3,150 kg | 126 kN   | 5             | design_factor |
| 4   | 1,500 kg | 61.6 kN  | 4             |               |

Row 4 is 7 mm grade 8 of EN 818-2, whose ratings are rounded down: 4.19 times. The `findings`,
whole:

| row | observed          | expected                                 | ratio | source |
| --- | ----------------- | ---------------------------------------- | ----- | ------ |
| 3   | design factor 5.0 | 4.08, the breaking force over the rating | 1.226 |        |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._forces import ROUNDED_DOWN, ROUNDED_UP
from tallyhook.units import factor


@rule(severity=ERROR, reads="items", since="0.1.0")
def stated_design_factor_is_not_the_ratio(items: pl.DataFrame) -> pl.DataFrame:
    read = items.filter(
        pl.col("design_factor").is_not_null()
        & pl.col("breaking_kn").is_not_null()
        & (pl.col("wll_kg") > 0)
    ).with_columns((pl.col("breaking_kn") / (pl.col("wll_kg") * factor("kg", "kN"))).alias("found"))
    stated = pl.col("design_factor")
    return findings(
        read.filter(~pl.col("found").is_between(stated * ROUNDED_UP, stated * ROUNDED_DOWN)),
        column=pl.coalesce("design_factor_column", pl.lit(say("design factor"))),
        observed=say_each("design factor {stated}", stated="design_factor"),
        expected=say_each(
            "{found}, the breaking force over the rating", found=pl.col("found").round(2)
        ),
        ratio=stated / pl.col("found"),
    )
