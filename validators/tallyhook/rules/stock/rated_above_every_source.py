"""A rating is higher than every source gives for that kind, size and grade.

## What it checks
The load of every chain, chain hook, grab hook and chain sling against the ratings of all the
schemes that the row may claim. It speaks when the load agrees with none and lies above the
highest of them. A load in bare tons is above them only if it is as tons of 2,000 lb, too.

## Why it matters
Someone will lift what the list promises. People stand under that load.

## Likely cause
A breaking or proof force in the rating column, pounds in a kilogram column, the row of a larger
size or a stronger grade. The finding names the causes that give this very number.

## Example
| row | kind  | grade | size_mm | wll       | finding |
| --- | ----- | ----- | ------- | --------- | ------- |
| 2   | chain | 80    | 10      | 3,150 kg  |         |
| 3   | chain | 80    | 10      | 12,600 kg | wll     |
| 4   | chain | 80    | 10      | 7.1 tons  | wll     |
| 5   | chain | 80    | 10      | 3.55 tons |         |

The `findings`, whole; the highest rating of 10 mm grade 80 is 7,100 lb:

| row | observed  | expected                   | ratio | source            | locator                   | note |
| --- | --------- | -------------------------- | ----- | ----------------- | ------------------------- | ---- |
| 3   | 12,600 kg | 3,220 kg (7,100 lb)        | 3.912 | osha-sling-guidance | table 1, vertical and bridle hitches |      |
| 4   | 7.1 tons  | 3.55 short tons (7,100 lb) | 2     | osha-sling-guidance | table 1, vertical and bridle hitches | '7.1 tons' may be short tons (6,441 kg) or metric tons (7,100 kg), above every source in both readings |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each
from tallyhook.model.finding import DANGER
from tallyhook.rules import rule
from tallyhook.rules.stock import rating_findings
from tallyhook.units import factor


@rule(severity=DANGER, reads="items", since="0.1.0")
def rated_above_every_source(items: pl.DataFrame) -> pl.DataFrame:
    above = pl.col("wll_kg") > pl.col("high_kg")
    broken = items.filter((pl.col("outcome") == "contradicted") & above)
    in_both = say_each(
        "'{listed}' may be short tons ({short} kg) or metric tons ({metric} kg), above every source in both readings",
        listed="wll_text",
        short=_kilograms(broken, "short ton"),
        metric=_kilograms(broken, "t"),
    )
    return rating_findings(broken, note=pl.when("as_smaller_ton").then(in_both))


def _kilograms(broken: pl.DataFrame, ton: str) -> pl.Expr:
    """The load as written, taken as so many of a ton, in whole kilograms."""
    worth = factor(ton, "kg")
    texts = [
        f"{value * worth:,.0f}" if settled and value is not None else ""
        for value, settled in broken.select("wll_value", "as_smaller_ton").iter_rows()
    ]
    return pl.lit(pl.Series(texts, dtype=pl.String))
