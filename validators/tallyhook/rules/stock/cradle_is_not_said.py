"""A grab hook carries the full rating and the row does not say that it has a cradle.

## What it checks
Grab hooks whose row names neither a cradle nor its absence, and whose rating is the full rating
of the chain.

## Why it matters
The full rating holds only for a grab hook with cradle. Without one the chain keeps four fifths
(common practice).

## Likely cause
The description is short. Look at the hook: a cradle or wings beside the slot carry the link.

## Example
| row | kind      | form        | cradle | grade | size_mm | wll      | finding |
| --- | --------- | ----------- | ------ | ----- | ------- | -------- | ------- |
| 2   | grab-hook | cradle-grab | yes    | 80    | 10      | 3,150 kg |         |
| 3   | grab-hook |             |        | 80    | 10      | 3,150 kg | cradle  |
| 4   | grab-hook |             |        | 80    | 10      | 2,520 kg |         |

The `findings`, whole:

| row | observed                         | expected                  | source          | locator                                  |
| --- | -------------------------------- | ------------------------- | --------------- | ---------------------------------------- |
| 3   | the full rating, cradle not said | a cradle, or a fifth less | common-practice | WLL reduction for a non-cradle grab hook |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import NOTE
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=NOTE, reads=("items", "grab-hooks.deductions"), since="0.1.0")
def cradle_is_not_said(items: pl.DataFrame, deductions: pl.DataFrame) -> pl.DataFrame:
    least = min(percent for percent in deductions["deduction_percent"] if percent)
    # nearer to the full rating than to the smallest published deduction
    full = pl.col("wll_kg") > (1 - least / 100 / 2) * pl.col("high_kg")
    silent = (
        (pl.col("kind") == "grab-hook")
        & pl.col("cradle").is_null()
        & (pl.col("outcome") == "agree")
    )
    return findings(
        items.filter(silent & full),
        column="cradle",
        observed=say("the full rating, cradle not said"),
        expected=say("a cradle, or a fifth less"),
        source="common-practice",
        locator="WLL reduction for a non-cradle grab hook",
    )
