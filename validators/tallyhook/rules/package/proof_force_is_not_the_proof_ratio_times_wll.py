"""A proof force is not the grade's proof ratio times the working load limit.

## What it checks
American chain: the proof force in pounds is exactly proof ratio x WLL (2, and 1.5 for grade 43).
European chain: it lies between proof ratio x WLL (2.5 for grades 8 and 10, 2 for grade 4) and
6.5 % above, because the WLL was rounded down to the R40 series and the force was not.

## Why it matters
A proof force tells a test certificate of one family from one of the other.

## Likely cause
The ratio of another family or grade, or a digit.

## Example
`chain.forces`

| row | scheme   | grade | size_mm | force | force_kn | force_lb | finding  |
| --- | -------- | ----- | ------- | ----- | -------- | -------- | -------- |
| 2   | us-chain | 80    | 10      | proof | 63.2     | 14200    |          |
| 3   | us-chain | 43    | 10      | proof | 48.0     | 10800    | force_lb |
| 4   | european | 80    | 10      | proof | 78.5     |          |          |
| 5   | european | 80    | 13      | proof | 106      |          | force_kn |

`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb |
| --- | -------- | ----- | ------- | ------ | ------ |
| 2   | us-chain | 43    | 10      | 2450   | 5400   |
| 3   | us-chain | 80    | 10      | 3200   | 7100   |
| 4   | european | 80    | 10      | 3150   |        |
| 5   | european | 80    | 13      | 5300   |        |

`chain.grades`

| row | scheme   | grade | proof_to_wll |
| --- | -------- | ----- | ------------ |
| 2   | us-chain | 43    | 1.5          |
| 3   | us-chain | 80    | 2            |
| 4   | european | 80    | 2.5          |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package._forces import forces_against


@rule(severity=ERROR, reads=("chain.forces", "chain.ratings", "chain.grades"), since="0.1.0")
def proof_force_is_not_the_proof_ratio_times_wll(
    forces: pd.DataFrame, ratings: pd.DataFrame, grades: pd.DataFrame
) -> pd.DataFrame:
    proof = forces[forces["force"] == "proof"]
    return forces_against(proof, ratings, grades, multiple="proof_to_wll")
