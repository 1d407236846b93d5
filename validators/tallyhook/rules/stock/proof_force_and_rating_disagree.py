"""The proof force in the row is not the proof ratio times the rating.

## What it checks
Rows of chain, chain hooks and grab hooks that give a proof force and whose rating no table
contradicts. The force over the rating must be a proof ratio that some scheme gives the grade:
1.5 to 2.5.

## Why it matters
A proof force is a test at the mill and not a rating. Where the two do not fit, one of them is in
the wrong column or the wrong unit.

## Likely cause
The breaking force in the proof column, the same number in both columns, a wrong unit.

## Example
| row | kind  | grade | size_mm | wll      | proof     | finding |
| --- | ----- | ----- | ------- | -------- | --------- | ------- |
| 2   | chain | 80    | 10      | 3,150 kg | 78.5 kN   |         |
| 3   | chain | 80    | 10      | 7,100 lb | 14,200 lb |         |
| 4   | chain | 80    | 10      | 3,150 kg | 126 kN    | proof   |

The `findings`, whole:

| row | observed                      | expected                    | ratio | source   | locator                                             |
| --- | ----------------------------- | --------------------------- | ----- | -------- | --------------------------------------------------- |
| 4   | 126 kN, 4.08 times the rating | 2.0 to 2.5 times the rating | 4.079 | en-818-1 | grade symbols; temperature: EN 818-6 table, grade 8 |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.rules.stock._forces import ROUNDED_DOWN, ROUNDED_UP, by_system, over_rating

_SELLERS_PAGE = "chain-grade-43"


@rule(
    severity=ERROR,
    reads=("items", "chain.grades", "hooks.design-factors", "grab-hooks.deductions"),
    since="0.1.0",
)
def proof_force_and_rating_disagree(
    items: pl.DataFrame, grades: pl.DataFrame, factors: pl.DataFrame, deductions: pl.DataFrame
) -> pl.DataFrame:
    # one seller page proves grade 43 at twice its rating where another says 1.5
    of_the_page = factors.filter(pl.col("item") == _SELLERS_PAGE)["proof_to_wll_min"].max()
    any_scheme = grades["proof_to_wll"]
    read = over_rating(
        items, grades, deductions, force="proof_kn", ratio="proof_to_wll"
    ).with_columns(
        pl.col("least").fill_null(any_scheme.min()),
        pl.max_horizontal(pl.col("most").fill_null(any_scheme.max()), of_the_page).alias("most"),
    )
    ceiling = pl.col("most") * ROUNDED_DOWN * pl.col("room")
    within = pl.col("found").is_between(pl.col("least") * ROUNDED_UP, ceiling)
    return findings(
        read.filter(~within),
        column=pl.coalesce("proof_column", pl.lit(say("proof force"))),
        observed=say_each(
            "{force}, {times} times the rating",
            force=pl.coalesce("proof_text", pl.lit("")),
            times=pl.col("found").round(2),
        ),
        expected=say_each("{least} to {most} times the rating", least="least", most="most"),
        ratio=pl.col("found"),
        source=by_system("source"),
        locator=by_system("locator"),
    )
