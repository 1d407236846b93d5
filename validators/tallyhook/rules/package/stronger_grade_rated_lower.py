"""A higher grade is rated below a lower grade of the same size and scheme.

## What it checks
Within one scheme and size, in order of grade, the rating in kilograms never falls.

## Why it matters
A stronger chain that may carry less is either a slip or a different design factor, and the reader
has to know which.

## Likely cause
Two columns of the table were swapped; or the grades have different bar diameters or factors of
their own, as in the tie-down table (then it is a known oddity).

## Example
`chain.ratings`

| row | scheme      | grade | size_mm | wll_kg | finding |
| --- | ----------- | ----- | ------- | ------ | ------- |
| 2   | us-tiedown  | 43    | 8       | 1770   |         |
| 3   | us-tiedown  | 70    | 8       | 2130   |         |
| 4   | us-tiedown  | 80    | 8       | 2000   | wll_kg  |
| 5   | us-tiedown  | 100   | 8       | 2600   |         |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=WARNING, reads="chain.ratings", since="0.1.0")
def stronger_grade_rated_lower(ratings: pd.DataFrame) -> pd.DataFrame:
    ordered = ratings.sort_values(["scheme", "size_mm", "grade"])
    weaker = ordered.groupby(["scheme", "size_mm"])["wll_kg"].shift()
    broken = ordered["wll_kg"] < weaker
    return findings(ordered[broken], column="wll_kg", expected=weaker[broken])
