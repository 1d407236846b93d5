"""Two grades of one scheme and size are not rated in proportion to their grades.

## What it checks
Grades with one design factor are rated as their stresses: 100 to 80 as 1.25, 80 to 40 as 2. In
American alloy chain within 3 %, in European chain within 6.5 %, one step of the R40 series to
which each rating is rounded down.

## Why it matters
It is the quickest test of a table nobody has the standard for.

## Likely cause
One of the two is of another size, or lost a digit.

## Example
`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | finding |
| --- | -------- | ----- | ------- | ------ | ------- |
| 2   | us-chain | 80    | 13      | 5400   |         |
| 3   | us-chain | 80    | 16      | 8200   |         |
| 4   | us-chain | 100   | 13      | 6800   |         |
| 5   | us-chain | 100   | 16      | 8900   | wll_kg  |

`chain.grades`

| row | scheme   | grade | breaking_stress_n_mm2 | overhead_lifting |
| --- | -------- | ----- | --------------------- | ---------------- |
| 2   | us-chain | 80    | 800                   | true             |
| 3   | us-chain | 100   | 1000                  | true             |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings, numbers

TOLERANCE = {"us-chain": 0.03, "us-tiedown": 0.03, "european": 0.065}


@rule(severity=WARNING, reads=("chain.ratings", "chain.grades"), since="0.1.0")
def grades_are_out_of_proportion(ratings: pd.DataFrame, grades: pd.DataFrame) -> pd.DataFrame:
    columns = ["breaking_stress_n_mm2", "overhead_lifting"]
    lifting = beside(ratings, grades, ["scheme", "grade"], columns)
    lifting = lifting[
        lifting["overhead_lifting"].eq(True) & lifting["scheme"].isin(TOLERANCE.keys())
    ].sort_values(["scheme", "size_mm", "grade"])
    weaker = lifting.groupby(["scheme", "size_mm"])[["wll_kg", "breaking_stress_n_mm2"]].shift()
    expected = weaker["wll_kg"] * (
        lifting["breaking_stress_n_mm2"] / weaker["breaking_stress_n_mm2"]
    )
    broken = (lifting["wll_kg"] / expected - 1).abs() > numbers(lifting["scheme"], TOLERANCE)
    return findings(lifting[broken], column="wll_kg", expected=expected[broken])
