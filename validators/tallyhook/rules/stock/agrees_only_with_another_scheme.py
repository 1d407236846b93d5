"""A rating is right in another rating scheme than the one the list follows.

## What it checks
Rows whose load agrees with one scheme only, against the scheme of the rows around them: where
most such rows of a column (inch sizes apart from metric ones) agree only with one scheme, the
few that agree only with another are shown.

## Why it matters
10 mm grade 80 chain is 3.15 t in the European system and 7,100 lb in the American one. Both are
published, but a part made and marked to one system is not rated by the other.

## Likely cause
The number was copied from a list of the other system. It is no error if the part is made to
that system; its mark or its maker's certificate says so.

## Example
| row | kind  | size_mm | wll_kg | wll_text | outcome | agrees_with   | nearest_scheme | finding |
| --- | ----- | ------- | ------ | -------- | ------- | ------------- | -------------- | ------- |
| 2   | chain | 10      | 3150   | 3.15 t   | agree   | european      | european       |         |
| 3   | chain | 13      | 5300   | 5.3 t    | agree   | european      | european       |         |
| 4   | chain | 16      | 8000   | 8 t      | agree   | european      | european       |         |
| 5   | chain | 20      | 12500  | 12.5 t   | agree   | european      | european       |         |
| 6   | chain | 22      | 15000  | 15 t     | agree   | european      | european       |         |
| 7   | chain | 26      | 21600  | 21.6 t   | agree   | us-chain      | us-chain       | wll     |
| 8   | chain | 8       | 2000   | 2 t      | agree   |               | european       |         |
"""

from __future__ import annotations

import polars as pl

from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings, followed_schemes


@rule(severity=WARNING, reads="items", since="0.1.0")
def agrees_only_with_another_scheme(items: pl.DataFrame) -> pl.DataFrame:
    telling = items.filter(pl.col("agrees_with").is_not_null()).with_columns(
        pl.col("size_in").is_null().alias("metric")
    )
    column = ["sheet", "wll_column", "metric"]
    broken = telling.join(
        followed_schemes(telling), on=column, nulls_equal=True, maintain_order="left"
    ).filter(pl.col("agrees_with") != pl.col("followed"))
    return findings(
        broken,
        column=pl.col("wll_column"),
        observed=pl.format("{}, the rating of the scheme {}", "wll_text", "agrees_with"),
        expected=pl.format("the rating of the scheme {}, as in most of the list", "followed"),
        source=pl.col("nearest_source"),
        locator=pl.col("nearest_locator"),
        cause="other-scheme",
        note="no error if the part is made to that scheme: its mark or its maker's certificate says so",
    )
