"""A breaking force is not the design factor times the working load limit.

## What it checks
American chain: the breaking force in pounds is exactly design factor x WLL, as the tables print
it. European chain: it lies between design factor x WLL and 6.5 % above, because the WLL was
rounded down to the R40 series and the force was not; the old grade 6 was rounded either way.

## Why it matters
The ratio of the two is the margin to breakage that the rating stands for.

## Likely cause
A proof force or the force of a neighbouring row; or a design factor of another grade (grade 43 has
3, the others 4).

## Example
`chain.forces`

| row | scheme   | grade | size_mm | force    | force_kn | force_lb | finding  |
| --- | -------- | ----- | ------- | -------- | -------- | -------- | -------- |
| 2   | us-chain | 43    | 10      | breaking | 72.1     | 16200    |          |
| 3   | us-chain | 80    | 10      | breaking | 126.3    | 28800    | force_lb |
| 4   | european | 80    | 10      | breaking | 126      |          |          |
| 5   | european | 80    | 13      | breaking | 133      |          | force_kn |

`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------ | ------ |
| 2   | us-chain | 43    | 10      | 2450   | 5400   |
| 3   | us-chain | 80    | 10      | 3200   | 7100   |
| 4   | european | 80    | 10      | 3150   |        |
| 5   | european | 80    | 13      | 5300   |        |

`chain.grades`

| row | scheme   | grade | design_factor |
| --- | -------- | ----- | ------------- |
| 2   | us-chain | 43    | 3             |
| 3   | us-chain | 80    | 4             |
| 4   | european | 80    | 4             |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package._forces import forces_against


@rule(severity=ERROR, reads=("chain.forces", "chain.ratings", "chain.grades"), since="0.1.0")
def breaking_force_is_not_the_design_factor_times_wll(
    forces: pd.DataFrame, ratings: pd.DataFrame, grades: pd.DataFrame
) -> pd.DataFrame:
    breaking = forces[forces["force"] == "breaking"]
    return forces_against(breaking, ratings, grades, multiple="design_factor")
