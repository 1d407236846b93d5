"""A force in kilonewtons and the same force in pounds-force do not convert.

## What it checks
Where a row gives a force both as ``..._kn`` and ``..._lb``, the two convert into each other within
0.06 kN (the tables print one decimal) or 0.1 %. A pound-force is 0.45359237 x 9.80665 N.

## Why it matters
A test certificate in one unit is held against a table in the other.

## Likely cause
A digit slipped, or one of the two is the force of a neighbouring row.

## Example
`values`

| row | table       | column   | unit | value | finding  |
| --- | ----------- | -------- | ---- | ----- | -------- |
| 2   | demo.forces | force_kn | kN   | 126.3 |          |
| 2   | demo.forces | force_lb | lb   | 28400 |          |
| 3   | demo.forces | force_kn | kN   | 212.5 | force_kn |
| 3   | demo.forces | force_lb | lb   | 48000 |          |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.rules.package._pairs import pairs
from tallyhook.units import factor


@rule(severity=ERROR, reads="values", since="0.1.0")
def kilonewtons_and_pounds_do_not_convert(values: pd.DataFrame) -> pd.DataFrame:
    both = pairs(values, "kN", "lb")
    expected = both["value_other"] * factor("lbf", "kN")
    differs = (both["value"] - expected).abs() > (0.001 * expected).clip(lower=0.06)
    wrong = both[differs]
    return findings(
        wrong, column=wrong["column"], observed=wrong["value"], expected=expected[differs]
    )
