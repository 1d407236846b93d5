"""A length in millimetres and the same length in inches are more than 1 % apart.

## What it checks
Where a row gives a length both as ``..._mm`` and ``..._in``, the two convert into each other
within 1 %. An inch is 25.4 mm. Nominal sizes are names and are not compared.

## Why it matters
A wear limit read in the other unit must be the same limit.

## Likely cause
A digit slipped, or one of the two is the limit of another size.

## Example
`values`

| row | table      | column      | unit | value | finding     |
| --- | ---------- | ----------- | ---- | ----- | ----------- |
| 2   | demo.limit | max_wear_mm | mm   | 1.19  |             |
| 2   | demo.limit | max_wear_in | in   | 0.047 |             |
| 3   | demo.limit | max_wear_mm | mm   | 1.98  | max_wear_mm |
| 3   | demo.limit | max_wear_in | in   | 0.074 |             |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.rules.package._pairs import pairs
from tallyhook.units import factor


@rule(severity=ERROR, reads="values", since="0.1.0")
def inches_and_millimetres_do_not_convert(values: pd.DataFrame) -> pd.DataFrame:
    both = pairs(values, "mm", "in")
    expected = both["value_other"] * factor("in", "mm")
    differs = (both["value"] - expected).abs() > 0.01 * expected
    wrong = both[differs]
    return findings(
        wrong, column=wrong["column"], observed=wrong["value"], expected=expected[differs]
    )
