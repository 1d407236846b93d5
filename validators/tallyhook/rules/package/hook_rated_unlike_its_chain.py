"""A chain hook is not rated as the chain it is matched to.

## What it checks
Each chain hook's rating, in kilograms and in pounds, is that of the chain of its scheme, grade and
size. A hook weaker than its chain would make the assembly weaker than its label; a hook that
claims more promises what the chain cannot hold. A scheme without chain, such as a maker's own, has
nothing to compare with.

## Why it matters
Hook and chain are bought apart and rated together; the weaker one rates the sling.

## Likely cause
The rating of another grade or size, or of another family.

## Example
`hooks.chain-hooks`

| row | scheme   | grade | size_mm | wll_kg | wll_lb | finding |
| --- | -------- | ----- | ------- | ------ | ------ | ------- |
| 2   | european | 80    | 10      | 3150   |        |         |
| 3   | us-chain | 80    | 10      | 3150   | 7100   | wll_kg  |
| 4   | us-chain | 80    | 14      | 5400   | 12000  | wll_kg, wll_lb |
| 5   | own      | 80    | 10      | 3600   |        |         |

`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------ | ------ |
| 2   | european | 80    | 10      | 3150   |        |
| 3   | us-chain | 80    | 10      | 3200   | 7100   |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings


@rule(severity=ERROR, reads=("hooks.chain-hooks", "chain.ratings"), since="0.1.0")
def hook_rated_unlike_its_chain(hooks: pd.DataFrame, ratings: pd.DataFrame) -> pd.DataFrame:
    of_chain = hooks[hooks["scheme"].isin(ratings["scheme"])]
    both = beside(of_chain, ratings, ["scheme", "grade", "size_mm"], ["wll_kg", "wll_lb"])
    parts = []
    for column in ("wll_kg", "wll_lb"):
        expected = both[f"{column}_other"]
        # a hook for a size that no chain of its scheme has is found too
        broken = both[column].notna() & (both[column] != expected)
        parts.append(findings(both[broken], column=column, expected=expected[broken]))
    return pd.concat(parts)
