"""A European rating is not its formula, rounded to the preferred numbers.

## What it checks
Two bar sections at the stress of the grade, divided by standard gravity: 100, 200 and 250 N/mm2
for grades 4, 8 and 10, rounded down to the series R40 of ISO 3 (EN 818-2, EN 818-3). The old
grade 6 series, at 157.5 N/mm2, goes to the nearest number of the series R10 with 3.2 in the place
of 3.15. All the rows that were read follow this to the digit.

## Why it matters
A European rating can be told right or wrong without the standard at hand.

## Likely cause
A rating of the other family (American ratings of the same size are 2 to 5 % higher), or a digit.

## Example
`chain.ratings`

| row | scheme      | grade | size_mm | wll_kg | finding |
| --- | ----------- | ----- | ------- | ------ | ------- |
| 2   | european    | 80    | 10      | 3150   |         |
| 3   | european    | 80    | 13      | 5400   | wll_kg  |
| 4   | old-grade-6 | 60    | 11.2    | 3200   |         |

`chain.grades`

| row | grade | breaking_stress_n_mm2 | breaking_stress_n_mm2_known_by | design_factor |
| --- | ----- | --------------------- | ------------------------------ | ------------- |
| 2   | 80    | 800                   |                                | 4             |
| 3   | 60    | 630                   |                                | 4             |
"""

from __future__ import annotations

import math

import pandas as pd

from tallyhook.formulas import round_down_r40
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers
from tallyhook.rules.package._european import unrounded_kg

# the coarser rounding of the series R10, in which 3.2 replaces 3.15 (ISO 497, recalled; it
# reproduces the 19 of 19 rows that were read)
_R10_COARSE = (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.3, 8.0, 10.0)


@rule(severity=ERROR, reads=("chain.ratings", "chain.grades"), since="0.1.0")
def european_rating_is_not_the_rounded_formula(
    ratings: pd.DataFrame, grades: pd.DataFrame
) -> pd.DataFrame:
    european = ratings[ratings["scheme"].isin(["european", "old-grade-6"])]
    unrounded = unrounded_kg(european, grades)
    expected = numbers(unrounded, round_down_r40)
    old = european["scheme"] == "old-grade-6"
    expected = expected.where(~old, numbers(unrounded, _nearest_r10))
    broken = ~((european["wll_kg"] - expected).abs() <= 0.5)
    return findings(european[broken], column="wll_kg", expected=expected[broken])


def _nearest_r10(load: float) -> float:
    decade = 10.0 ** math.floor(math.log10(load))
    return min((s * decade for s in _R10_COARSE), key=lambda s: abs(s - load))
