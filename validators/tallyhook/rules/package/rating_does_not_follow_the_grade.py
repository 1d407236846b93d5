"""The rating, the design factor and the bar diameter do not amount to the grade.

## What it checks
The grade of American chain is its breaking force over two bar sections:
``grade = force / (0.005 pi d^2)``, force in kN and d in mm (ASTM A391/A391M-21, 1.3.1). Working
load limit times design factor is that force. The result is within 3 % of the grade's number. The
diameter is the material diameter of the size; the tie-down law rates the same chain.

## Why it matters
Grade, size and rating say one thing three times. Where they disagree, the label on the bucket
and the number in the table are not of the same chain.

## Likely cause
A rating of a neighbouring size or grade, or a digit. The published ratings of grades 43 and 70 run
up to 9 % above the formula in some sizes: these are known oddities.

## Example
`chain.ratings`

| row | scheme   | grade | size_mm | wll_kg | wll_lb | finding |
| --- | -------- | ----- | ------- | ------ | ------ | ------- |
| 2   | us-chain | 80    | 10      | 3200   | 7100   |         |
| 3   | us-chain | 80    | 13      | 5670   | 12500  | wll_lb  |

`chain.grades`

| row | scheme   | grade | design_factor |
| --- | -------- | ----- | ------------- |
| 2   | us-chain | 80    | 4             |

`chain.dimensions`

| row | scheme   | grade | size_mm | dimension         | value_mm |
| --- | -------- | ----- | ------- | ----------------- | -------- |
| 2   | us-chain | 80    | 10      | material-diameter | 10       |
| 3   | us-chain | 80    | 13      | material-diameter | 13       |
"""

from __future__ import annotations

import math

import pandas as pd

from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings
from tallyhook.units import factor

TOLERANCE = 0.03
"""Grades 30, 80 and 100 as published return within 2 %; a rating is rounded to 50 or 100 lb."""


@rule(severity=WARNING, reads=("chain.ratings", "chain.grades", "chain.dimensions"), since="0.1.0")
def rating_does_not_follow_the_grade(
    ratings: pd.DataFrame, grades: pd.DataFrame, dimensions: pd.DataFrame
) -> pd.DataFrame:
    american = ratings[ratings["scheme"].isin(["us-chain", "us-tiedown"])]
    bars = dimensions[dimensions["dimension"] == "material-diameter"]
    bars = bars.rename(columns={"value_mm": "bar_mm"})
    # the law prints no bar diameters; it rates the chain of the same grade and size
    full = beside(american, grades, ["scheme", "grade"], ["design_factor"])
    full = beside(full, bars, ["grade", "size_mm"], ["bar_mm"])
    area = 0.005 * math.pi * full["bar_mm"] ** 2
    expected = full["grade"] * area / full["design_factor"] / factor("lbf", "kN")
    broken = (full["wll_lb"] / expected - 1).abs() > TOLERANCE
    return findings(full[broken], column="wll_lb", expected=expected[broken].round(-1))
