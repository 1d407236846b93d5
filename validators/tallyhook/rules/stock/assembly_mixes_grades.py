"""Chain and fittings of one assembly are of different grades.

## What it checks
Slings whose own words name two grades, such as grade 100 chain with grade 80 hooks. A grade that
is not for lifting at all is `grade-is-not-for-overhead-lifting`.

## Why it matters
An assembly is rated by its weakest part, and a fitting of another grade need not fit the chain.

## Likely cause
A hook was out of stock and the next best was taken, or one of the two grades is typed wrong.

## Example
| row | kind  | item                                  | finding |
| --- | ----- | ------------------------------------- | ------- |
| 2   | sling | 2-leg sling G80 chain with G80 hooks  |         |
| 3   | sling | 2-leg sling G100 chain with G80 hooks | grade   |
| 4   | chain | G80 chain, replaces G70               |         |

The `findings`, whole:

| row | observed                       | expected                             | source          | locator                                           |
| --- | ------------------------------ | ------------------------------------ | --------------- | ------------------------------------------------- |
| 3   | grades 80 and 100 in one sling | one grade, or the rating of grade 80 | 29-cfr-1910-184 | 1910.184(e)(2)(i): rated by its weakest component |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.texts.named_grades import grades_named


@rule(severity=WARNING, reads="items", since="0.1.0")
def assembly_mixes_grades(items: pl.DataFrame) -> pl.DataFrame:
    slings = items.filter(pl.col("kind") == "sling").with_columns(grades_named().alias("grades"))
    broken = slings.filter(pl.col("grades").list.len() > 1)
    named = pl.col("grades").list.eval(pl.element().cast(pl.String)).list.join(say(" and "))
    return findings(
        broken,
        column="grade",
        observed=say_each("grades {grades} in one sling", grades=named),
        expected=say_each(
            "one grade, or the rating of grade {grade}", grade=pl.col("grades").list.first()
        ),
        source="29-cfr-1910-184",
        locator="1910.184(e)(2)(i): rated by its weakest component",
    )
