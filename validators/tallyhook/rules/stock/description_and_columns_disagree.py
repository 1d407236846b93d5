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
| row | item                | unread                                             | finding |
| --- | ------------------- | -------------------------------------------------- | ------- |
| 2   | 3/8 G80 chain       |                                                    |         |
| 3   | 1/2 G80 chain       | size: description says 1/2 and the column says 3/8 | size    |
| 4   | Chain, no size said | size: 'see drawing' is no chain size               |         |

The `findings`, whole:

| row | observed                                  | expected         | source | note                         |
| --- | ----------------------------------------- | ---------------- | ------ | ---------------------------- |
| 3   | 3/8 in the column, 1/2 in the description | the same in both |        | look at the part's own marks |
"""

from __future__ import annotations

import polars as pl

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import findings

_CLAUSE = r"^([a-z]+): description says (.+) and the column says (.+)$"


@rule(severity=ERROR, reads="items", since="0.1.0")
def description_and_columns_disagree(items: pl.DataFrame) -> pl.DataFrame:
    noted = items.filter(pl.col("unread").is_not_null())
    clauses = noted.with_columns(pl.col("unread").str.split("; ")).explode("unread")
    broken = clauses.filter(pl.col("unread").str.contains(_CLAUSE))
    part = [pl.col("unread").str.extract(_CLAUSE, n) for n in (1, 2, 3)]
    return findings(
        broken,
        column=part[0],
        observed=pl.format("{} in the column, {} in the description", part[2], part[1]),
        expected="the same in both",
        note="look at the part's own marks",
    )
