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

from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=WARNING, reads=("items", "readings"), since="0.1.0")
def ton_is_ambiguous(items: pl.DataFrame, readings: pl.DataFrame) -> pl.DataFrame:
    tons = items
    for ton in ("short-ton", "tonne"):
        tons = tons.join(_agreeing(readings, ton), on="row", how="inner", maintain_order="left")

    def over_the_column(agreeing: pl.Expr | int) -> pl.Expr:
        return (agreeing * pl.col("times")).sum().over("sheet", "wll_column")

    fitting = say_each(
        "as short tons of 2,000 lb {short} of {rows} rows agree with a table, as tonnes {metric}",
        short=over_the_column(pl.col("short-ton")),
        rows=over_the_column(1),
        metric=over_the_column(pl.col("tonne")),
    )
    return findings(
        tons.with_columns(fitting.alias("fitting")),
        column=pl.col("wll_column"),
        observed=pl.col("wll_text"),
        expected=say("a unit: US ton (2,000 lb) or t (1,000 kg)"),
        note=pl.col("fitting"),
        observed_kg=pl.col("wll_kg"),
    )


def _agreeing(readings: pl.DataFrame, ton: str) -> pl.DataFrame:
    read = readings.filter(pl.col("reading") == ton)
    return read.select("row", (pl.col("outcome") == "agree").alias(ton))
