"""A larger size is rated below a smaller one of the same grade and scheme.

## What it checks
Within one scheme and grade, in order of size, the rating never falls, in either unit.

## Why it matters
Someone reading across the table would take a bigger part and get less.

## Likely cause
Two neighbouring rows were swapped, or a digit was lost.

## Example
`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb | finding |
| --- | -------- | ----- | ------- | ------ | ------ | ------- |
| 2   | european | 80    | 10      | 3150   |        |         |
| 3   | european | 80    | 13      | 530    |        | wll_kg  |
| 4   | european | 80    | 16      | 8000   |        |         |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads="chain.ratings", since="0.1.0")
def rating_falls_as_size_grows(ratings: pd.DataFrame) -> pd.DataFrame:
    ordered = ratings.sort_values(["scheme", "grade", "size_mm"])
    parts = []
    for column in ("wll_kg", "wll_lb"):
        below = ordered.groupby(["scheme", "grade"])[column].shift()
        broken = ordered[column] < below
        parts.append(findings(ordered[broken], column=column, expected=below[broken]))
    return pd.concat(parts)
