"""A grade that is not for overhead lifting is sold for lifting.

## What it checks
Rows that say they are for overhead lifting, and all slings, against the grades that the chain
specifications allow for it. In a sling, every grade that its words name counts: a sling of grade
80 chain with a grade 70 hook hangs from that hook. Grade 7 and transport hooks are grade 70.

## Why it matters
Proof coil, high test and transport chain is made for towing, tie-down and other uses. It gives
little warning before it breaks; alloy chain stretches first.

## Likely cause
The words were copied from the alloy row, or the grade column slipped by a row.

## Example
| row | kind  | grade | scheme | overhead | item                         | finding |
| --- | ----- | ----- | ------ | -------- | ---------------------------- | ------- |
| 2   | chain | 80    |        | yes      |                              |         |
| 3   | chain | 70    |        | yes      |                              | grade   |
| 4   | chain | 70    |        | no       |                              |         |
| 5   | sling | 43    |        |          |                              | grade   |
| 6   | sling | 80    |        |          | G80 sling with G70 hooks     | grade   |
| 7   | sling | 80    |        |          | G80 sling, not G70           |         |
| 8   | sling | 80    |        |          | G80 sling with G100 hooks    |         |
| 9   | sling | 80    |        |          | G80 sling with grade 7 hooks | grade   |
| 10  | sling | 80    |        |          | G80 sling, transport hooks   | grade   |
| 11  | sling | 80    |        |          | G80 sling, 7 mm, hooks G80   |         |

The `findings`, whole:

| row | observed                           | expected                                                               | source    | locator                                                                                     |
| --- | ---------------------------------- | ---------------------------------------------------------------------- | --------- | ------------------------------------------------------------------------------------------- |
| 3   | grade 70 for overhead lifting      | grade 80 or 100 alloy chain and fittings, or European grade 4, 8 or 10 | astm-a413 | 1.1, 1.2 and 1.4.1 (not for overhead lifting, classes, grade formula); the rest as restated |
| 5   | grade 43 for overhead lifting      | grade 80 or 100 alloy chain and fittings, or European grade 4, 8 or 10 | astm-a413 | 1.1, 1.2 and 1.4.1 (not for overhead lifting, classes, grade formula); the rest as restated |
| 6   | a grade 70 part in a lifting sling | grade 80 or 100 alloy chain and fittings, or European grade 4, 8 or 10 | astm-a413 | 1.1, 1.2 and 1.4.1 (not for overhead lifting, classes, grade formula); the rest as restated |
| 9   | a grade 70 part in a lifting sling | grade 80 or 100 alloy chain and fittings, or European grade 4, 8 or 10 | astm-a413 | 1.1, 1.2 and 1.4.1 (not for overhead lifting, classes, grade formula); the rest as restated |
| 10  | a grade 70 part in a lifting sling | grade 80 or 100 alloy chain and fittings, or European grade 4, 8 or 10 | astm-a413 | 1.1, 1.2 and 1.4.1 (not for overhead lifting, classes, grade formula); the rest as restated |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import DANGER
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._lifting import never_for_lifting
from tallyhook.texts.named_grades import grades_named


@rule(
    severity=DANGER,
    reads=("items", "chain.grades"),
    since="0.1.0",
    instead_of=("assembly-mixes-grades",),
)
def grade_is_not_for_overhead_lifting(items: pl.DataFrame, grades: pl.DataFrame) -> pl.DataFrame:
    lifting = (pl.col("overhead") == "yes") | (pl.col("kind") == "sling")
    never = never_for_lifting(grades)
    named = (
        grades_named(but_denied=True)
        .list.set_intersection(never["grade"].unique().to_list())
        .list.min()
    )
    own = pl.col("grade").is_in(never["grade"].implode()).fill_null(False)
    lifted = items.filter(lifting.fill_null(False)).with_columns(
        pl.when(own).then("grade").when(pl.col("kind") == "sling").then(named).alias("never")
    )
    observed = (
        pl.when(own)
        .then(say_each("grade {grade} for overhead lifting", grade="never"))
        .otherwise(say_each("a grade {grade} part in a lifting sling", grade="never"))
    )
    return findings(
        lifted.join(never, left_on="never", right_on="grade", how="inner", maintain_order="left"),
        column="grade",
        observed=observed,
        expected=say("grade 80 or 100 alloy chain and fittings, or European grade 4, 8 or 10"),
        source=pl.col("source"),
        locator=pl.col("locator"),
    )
