"""A special hook's rating is not what its row prints, or not that of its chain.

## What it checks
- The rating in kg or lb is the printed value in its printed unit.
- A hook for a chain size and grade is rated as the European chain of that size and grade, and
  there is such a chain.
- A ratio to the full rating is the row's printed value over the largest of the same hook where the
  rows are conditions of one hook, and 1 elsewhere.

## Why it matters
These ratings come from single tables; the printed cell is their only root.

## Likely cause
The unit of the table was taken for another, or a digit.

## Example
`hooks.special-ratings`

| row | hook         | condition | form    | grade | size_mm | printed_value | printed_unit | wll_kg | wll_lb | ratio_to_full | finding       |
| --- | ------------ | --------- | ------- | ----- | ------- | ------------- | ------------ | ------ | ------ | ------------- | ------------- |
| 2   | clevis hook  | 10 mm     |         | 100   | 10      | 4             | t            | 4000   |        | 1             |               |
| 3   | clevis hook  | 13 mm     |         | 100   | 13      | 6.7           | t            | 7600   |        | 1             | wll_kg        |
| 4   | pipe hook    | size 1    |         |       |         | 2             | short ton    |        | 4000   |               |               |
| 5   | sorting hook | full      | sorting |       |         | 7.5           | ton          |        |        | 1             |               |
| 6   | sorting hook | tip       | sorting |       |         | 2             | ton          |        |        | 0.3           | ratio_to_full |

`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg |
| --- | -------- | ----- | ------- | ------ |
| 2   | european | 100   | 10      | 4000   |
| 3   | european | 100   | 13      | 6700   |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings, numbers, unlike
from tallyhook.units import factor


@rule(severity=ERROR, reads=("hooks.special-ratings", "chain.ratings"), since="0.1.0")
def special_rating_contradicts_its_own_row(
    hooks: pd.DataFrame, ratings: pd.DataFrame
) -> pd.DataFrame:
    printed = pd.to_numeric(hooks["printed_value"], errors="coerce")
    to_kg = numbers(hooks["printed_unit"], {"t": 1000.0, "kg": 1.0})
    to_lb = numbers(hooks["printed_unit"], {"lb": 1.0, "short ton": factor("short ton", "lb")})
    european = ratings[ratings["scheme"] == "european"]
    matched = beside(hooks, european, ["grade", "size_mm"], ["wll_kg"])
    chain = matched["wll_kg_other"].where(matched["size_mm"].notna())
    # conditions of one hook (throat, tip) share a rating; sizes of a series have one each
    conditions = hooks["form"] == "sorting"
    largest = printed.groupby(hooks["hook"]).transform("max")
    share = (printed / largest).where(conditions, 1.0)
    lone = matched["size_mm"].notna() & chain.isna()
    return pd.concat(
        [
            findings(
                matched[lone], column="size_mm", expected=say("a size of chain of that grade")
            ),
            unlike(hooks, "wll_kg", printed * to_kg, within=0.01),
            unlike(hooks, "wll_lb", printed * to_lb, within=0.01),
            unlike(matched, "wll_kg", chain, within=0.01),
            unlike(hooks, "ratio_to_full", share, within=0.0006),
        ]
    )
