"""The row's description says one thing and its columns another.

## What it checks
Size, grade, rating and legs where the free text of the row and a column of its own both give
them.

## Why it matters
The row cannot be both. Whoever picks the part goes by the words, whoever rates the lift by the
column.

## Likely cause
A row was copied and only half changed, or one column slipped by a row.

## Example
| row | item                | contradictions                                           | finding |
| --- | ------------------- | -------------------------------------------------------- | ------- |
| 2   | 3/8 G80 chain       |                                                          |         |
| 3   | 1/2 G80 chain       | [{"field": "size", "described": "1/2", "column": "3/8"}] | size    |
| 4   | Chain, no size said |                                                          |         |

The `findings`, whole:

| row | observed                                  | expected         | source | note                         |
| --- | ----------------------------------------- | ---------------- | ------ | ---------------------------- |
| 3   | 3/8 in the column, 1/2 in the description | the same in both |        | look at the part's own marks |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.model.items import CONTRADICTIONS
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=ERROR, reads="items", since="0.1.0")
def description_and_columns_disagree(items: pl.DataFrame) -> pl.DataFrame:
    noted = items.filter(pl.col("contradictions").is_not_null())
    each = noted.with_columns(pl.col("contradictions").str.json_decode(CONTRADICTIONS))
    broken = each.explode("contradictions")
    said = pl.col("contradictions").struct
    return findings(
        broken,
        column=said.field("field"),
        observed=say_each(
            "{column} in the column, {described} in the description",
            column=said.field("column"),
            described=said.field("described"),
        ),
        expected=say("the same in both"),
        note=say("look at the part's own marks"),
    )
