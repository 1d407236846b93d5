"""A grab hook's rating is not its chain's rating less the deduction.

## What it checks
For each grab hook, the rating of the chain of its scheme, grade and size times what the named
deduction leaves: all of it with a cradle, 80 or 75 percent without, by document.
A scheme without chain, such as a maker's own, has nothing to compare with.

## Why it matters
A grab hook without a cradle bends the link it holds. A list that shows the full rating for it
promises what the chain no longer carries.

## Likely cause
The deduction was not made, made twice, or made from another size.

## Example
`grab-hooks.ratings`

| row | scheme   | grade | size_mm | deduction    | wll_kg | wll_lb | finding |
| --- | -------- | ----- | ------- | ------------ | ------ | ------ | ------- |
| 2   | us-chain | 80    | 10      | no-cradle-20 | 2560   | 5680   |         |
| 3   | us-chain | 80    | 10      | cradle-0     | 3200   | 7100   |         |
| 4   | us-chain | 80    | 10      | no-cradle-25 | 2400   | 5680   | wll_lb  |
| 5   | own      | 80    | 10      | no-cradle-25 | 3000   |        |         |

`grab-hooks.deductions`

| row | deduction    | deduction_percent |
| --- | ------------ | ----------------- |
| 2   | cradle-0     | 0                 |
| 3   | no-cradle-20 | 20                |
| 4   | no-cradle-25 | 25                |

`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------ | ------ |
| 2   | us-chain | 80    | 10      | 3200   | 7100   |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings


@rule(
    severity=ERROR,
    reads=("grab-hooks.ratings", "grab-hooks.deductions", "chain.ratings"),
    since="0.1.0",
)
def grab_hook_rating_is_not_the_chain_less_its_deduction(
    hooks: pd.DataFrame, deductions: pd.DataFrame, ratings: pd.DataFrame
) -> pd.DataFrame:
    of_chain = hooks[hooks["scheme"].isin(ratings["scheme"])]
    full = beside(of_chain, ratings, ["scheme", "grade", "size_mm"], ["wll_kg", "wll_lb"])
    full = beside(full, deductions, ["deduction"], ["deduction_percent"])
    left = 1 - full["deduction_percent"] / 100
    parts = []
    for column in ("wll_kg", "wll_lb"):
        expected = left * full[f"{column}_other"]
        # nothing is rounded; a hook without a chain or a deduction is found too
        broken = full[column].notna() & ~((full[column] - expected).abs() <= 0.01)
        parts.append(findings(full[broken], column=column, expected=expected[broken]))
    return pd.concat(parts)
