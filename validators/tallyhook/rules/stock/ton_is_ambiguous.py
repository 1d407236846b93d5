"""A column gives its ratings in tons and does not say which ton.

## What it checks
Ratings written in "tons" where neither the row nor the list settles whether a ton of 2,000 lb or
a tonne of 1,000 kg is meant. Each column is reported once, with what its rows fit.

## Why it matters
The two are ten percent apart. Read as tonnes, a rating in short tons promises ten percent too
much.

## Likely cause
The heading says *Tons*. Write *US ton* or *t* into it, or name the unit with `--column`.

## Example
| row | kind  | grade | size_mm | wll             | finding |
| --- | ----- | ----- | ------- | --------------- | ------- |
| 2   | chain | 80    | 10      | 3.55 tons       | wll     |
| 3   | chain | 80    | 13      | 6 tons          | wll     |
| 4   | chain | 80    | 10      | 3.15 t          |         |
| 5   | chain | 80    | 10      | 3.55 short tons |         |

The `findings`, whole; 7,100 and 12,000 lb are 3.55 and 6 tons of 2,000 lb:

| row | observed  | expected                                  | source | note                                                                  |
| --- | --------- | ----------------------------------------- | ------ | --------------------------------------------------------------------- |
| 2   | 3.55 tons | a unit: US ton (2,000 lb) or t (1,000 kg) |        | as short tons of 2,000 lb 2 of 2 rows agree with a table, as tonnes 0 |
| 3   | 6 tons    | a unit: US ton (2,000 lb) or t (1,000 kg) |        | as short tons of 2,000 lb 2 of 2 rows agree with a table, as tonnes 0 |
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.match import match
from tallyhook.model.finding import WARNING
from tallyhook.model.items import ITEM_SCHEMA
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.units import factor


@rule(severity=WARNING, reads=("items", "reference"), since="0.1.0")
def ton_is_ambiguous(items: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    tons = items.filter((pl.col("wll_unit") == "ton") & pl.col("wll_value").is_not_null())
    short, metric = (_fits(tons, reference, unit) for unit in ("short ton", "t"))
    rows = pl.col("times")
    read = tons.with_columns((short * rows).alias("short"), (metric * rows).alias("metric"))
    place = ["sheet", "wll_column"]
    fitting = pl.format(
        "as short tons of 2,000 lb {} of {} rows agree with a table, as tonnes {}",
        pl.col("short").sum().over(place),
        rows.sum().over(place),
        pl.col("metric").sum().over(place),
    )
    return findings(
        read.with_columns(fitting.alias("fitting")),
        column=pl.col("wll_column"),
        observed=pl.col("wll_text"),
        expected="a unit: US ton (2,000 lb) or t (1,000 kg)",
        note=pl.col("fitting"),
    )


def _fits(tons: pl.DataFrame, reference: pl.DataFrame, unit: str) -> pl.Series:
    as_unit = tons.select(list(ITEM_SCHEMA)).with_columns(
        (pl.col("wll_value") * factor(unit, "kg")).alias("wll_kg"),
        pl.lit(unit).alias("wll_unit"),
        pl.lit(factor(unit, "kg") / 100).alias("wll_step_kg"),
    )
    return match(as_unit, reference)["outcome"] == "agree"
