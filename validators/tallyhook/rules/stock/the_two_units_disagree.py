"""The row gives its rating in two units that do not convert into each other.

## What it checks
Rows with a load in two columns or two units, one against the other. Published tables print
pairs up to two percent apart, and that much is allowed.

## Why it matters
A reader takes whichever column they are used to. One of the two promises a different load.

## Likely cause
One column was corrected and the other forgotten, or the same number stands in both.

## Example
| row | wll      | wll2     | finding |
| --- | -------- | -------- | ------- |
| 2   | 7,100 lb | 3,200 kg |         |
| 3   | 7,100 lb | 7,100 kg | wll2    |
| 4   | 2,100 lb | 970 kg   |         |

Row 4 is printed so, 1.8 percent apart (7/32 in, grade 80). The `findings`, whole:

| row | observed                 | expected                                 | ratio | source |
| --- | ------------------------ | ---------------------------------------- | ----- | ------ |
| 3   | 7,100 lb beside 7,100 kg | two ratings that convert into each other | 2.205 |        |
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.tolerances import WIDEST_PRINTED_PAIR
from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=ERROR, reads="items", since="0.1.0")
def the_two_units_disagree(items: pl.DataFrame) -> pl.DataFrame:
    disagree = (pl.col("wll2_kg") / pl.col("wll_kg")).log().abs() > WIDEST_PRINTED_PAIR
    # as the row has them, whichever of the two was held against the ratings
    swapped = pl.col("by_second")
    return findings(
        items.filter(disagree),
        column=pl.coalesce(
            pl.when(swapped).then("wll_column").otherwise("wll2_column"),
            pl.lit(say("WLL, second unit")),
        ),
        observed=pl.when(swapped)
        .then(say_each("{one} beside {other}", one="wll2_text", other="wll_text"))
        .otherwise(say_each("{one} beside {other}", one="wll_text", other="wll2_text")),
        expected=say("two ratings that convert into each other"),
        ratio=(pl.col("wll2_kg") / pl.col("wll_kg")).pow(pl.when(swapped).then(-1).otherwise(1)),
    )
