"""A grade that is not for overhead lifting is called a lifting chain or hook.

## What it checks
Chain and hooks of grade 30, 43 and 70 whose words speak of lifting or hoisting, without saying
outright that they are for overhead lifting and without denying it.

## Why it matters
The words sell it for a use that the chain specifications leave to alloy grades.

## Likely cause
A heading or a phrase that was meant for the alloy rows.

## Example
| row | kind  | grade | scheme | overhead | item                     | finding |
| --- | ----- | ----- | ------ | -------- | ------------------------ | ------- |
| 2   | chain | 80    |        |          | Lifting chain            |         |
| 3   | chain | 43    |        |          | Lifting chain, high test | grade   |
| 4   | chain | 43    |        | no       | Chain, not for lifting   |         |
| 5   | chain | 70    |        |          | Transport chain          |         |

The `findings`, whole:

| row | observed                       | expected                                                         | source    | locator                                                                                     |
| --- | ------------------------------ | ---------------------------------------------------------------- | --------- | ------------------------------------------------------------------------------------------- |
| 3   | grade 43 called a lifting part | words that say it is not for overhead lifting, or an alloy grade | astm-a413 | 1.1, 1.2 and 1.4.1 (not for overhead lifting, classes, grade formula); the rest as restated |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._lifting import never_for_lifting
from tallyhook.texts.item_words import called_lifting


@rule(
    severity=WARNING,
    reads=("items", "chain.grades"),
    since="0.1.0",
)
def grade_is_called_a_lifting_grade(items: pl.DataFrame, grades: pl.DataFrame) -> pl.DataFrame:
    parts = items.filter(
        pl.col("kind").is_in(["chain", "hook", "grab-hook"]) & pl.col("overhead").is_null()
    )
    never = never_for_lifting(grades)
    kept_from_it = parts.join(never, on="grade", how="inner", maintain_order="left")
    return findings(
        kept_from_it.filter(called_lifting()),
        column="grade",
        observed=say_each("grade {grade} called a lifting part", grade="grade"),
        expected=say("words that say it is not for overhead lifting, or an alloy grade"),
        source=pl.col("source"),
        locator=pl.col("locator"),
    )
