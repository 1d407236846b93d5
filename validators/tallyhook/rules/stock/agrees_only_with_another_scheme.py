"""A rating is right in another rating scheme than the one the list follows.

## What it checks
Rows whose load agrees with one scheme only, against the scheme of the rows around them: where
most such rows of a column (inch and metric sizes counted by themselves) agree only with one scheme, the
few that agree only with another are shown.

## Why it matters
10 mm grade 80 chain is 3.15 t in the European system and 7,100 lb in the American one. Both are
published, but a part made and marked to one system is not rated by the other.

## Likely cause
The number was copied from a list of the other system. It is no error if the part is made to
that system; its mark or its maker's certificate says so.

## Example
| row | kind  | grade | size_mm | wll    | finding |
| --- | ----- | ----- | ------- | ------ | ------- |
| 2   | chain | 80    | 10      | 3.15 t |         |
| 3   | chain | 80    | 13      | 5.3 t  |         |
| 4   | chain | 80    | 16      | 8 t    |         |
| 5   | chain | 80    | 20      | 12.5 t |         |
| 6   | chain | 80    | 22      | 15 t   |         |
| 7   | chain | 80    | 26      | 21.6 t | wll     |
| 8   | chain | 80    | 8       | 2 t    |         |

The `findings`, whole:

| row | observed                                  | expected                                                  | source            | locator                   | cause        | note                                                                                     |
| --- | ----------------------------------------- | --------------------------------------------------------- | ----------------- | ------------------------- | ------------ | ---------------------------------------------------------------------------------------- |
| 7   | 21.6 t, the rating of the scheme us-chain | the rating of the scheme european, as in most of the list | osha-sling-guidance | table 1, vertical and bridle hitches | other-scheme | no error if the part is made to that scheme: its mark or its maker's certificate says so |
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.followed import COLUMN, followed_schemes
from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=WARNING, reads="items", since="0.1.0")
def agrees_only_with_another_scheme(items: pl.DataFrame) -> pl.DataFrame:
    agreeing = items.filter(pl.col("agrees_with").is_not_null()).with_columns(
        pl.col("size_in").is_null().alias("metric")
    )
    broken = agreeing.join(
        followed_schemes(agreeing), on=COLUMN, nulls_equal=True, maintain_order="left"
    ).filter(pl.col("agrees_with") != pl.col("followed"))
    return findings(
        broken,
        column=pl.col("wll_column"),
        observed=say_each(
            "{listed}, the rating of the scheme {scheme}", listed="wll_text", scheme="agrees_with"
        ),
        expected=say_each(
            "the rating of the scheme {scheme}, as in most of the list", scheme="followed"
        ),
        source=pl.col("nearest_source"),
        locator=pl.col("nearest_locator"),
        cause="other-scheme",
        note=say(
            "no error if the part is made to that scheme: its mark or its maker's certificate says so"
        ),
        observed_kg=pl.col("wll_kg"),
    )
