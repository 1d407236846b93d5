"""A document's scope is not the range of sizes and ratings it covers.

## What it checks
Where a document's own ratings are in the package, its scope runs from their smallest to their
largest size. Other scopes are whole millimetres. A largest rating is a preferred number (R40).

## Why it matters
A rating beyond a document's scope is not covered by it.

## Likely cause
A digit, or the scope of another part of the standard.

## Example
`chain.scope-limits`

| row | source   | min_size_mm | max_size_mm | max_wll_kg | finding     |
| --- | -------- | ----------- | ----------- | ---------- | ----------- |
| 2   | en-818-2 | 4           | 54          |            | max_size_mm |
| 3   | en-1677  |             |             | 63000      |             |
| 4   | en-1677b |             |             | 62000      | max_wll_kg  |

`chain.ratings`

| row | source   | size_mm |
| --- | -------- | ------- |
| 2   | en-818-2 | 4       |
| 3   | en-818-2 | 45      |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.formulas import round_down_r40
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers


@rule(severity=ERROR, reads=("chain.scope-limits", "chain.ratings"), since="0.1.0")
def scope_does_not_match_the_ratings(scopes: pd.DataFrame, ratings: pd.DataFrame) -> pd.DataFrame:
    sizes = ratings.groupby("source")["size_mm"].agg(["min", "max"])
    parts = []
    for column, end in (("min_size_mm", "min"), ("max_size_mm", "max")):
        wanted = numbers(scopes["source"], sizes[end]).fillna(scopes[column].round())
        broken = (scopes[column] - wanted).abs() > 1e-9
        parts.append(findings(scopes[broken], column=column, expected=wanted[broken]))
    rated = scopes[scopes["max_wll_kg"].notna()]
    preferred = numbers(rated["max_wll_kg"], round_down_r40)
    odd = (rated["max_wll_kg"] - preferred).abs() > 1e-6
    parts.append(findings(rated[odd], column="max_wll_kg", expected=preferred[odd]))
    return pd.concat(parts)
