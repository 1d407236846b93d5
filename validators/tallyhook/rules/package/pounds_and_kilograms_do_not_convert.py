"""A load in kilograms and the same load in pounds are more than 1 % apart.

## What it checks
Where a row gives a load both as ``..._kg`` and ``..._lb``, the two convert into each other within
1 %. One pound is 0.45359237 kg.

## Why it matters
Whoever reads the other column must get the same load.

## Likely cause
Each column was rounded on its own (then it is a known oddity of the document), or a digit slipped.

## Example
`values`

| row | table      | column | unit | value | finding |
| --- | ---------- | ------ | ---- | ----- | ------- |
| 2   | demo.loads | wll_kg | kg   | 3200  |         |
| 2   | demo.loads | wll_lb | lb   | 7100  |         |
| 3   | demo.loads | wll_kg | kg   | 2000  | wll_kg  |
| 3   | demo.loads | wll_lb | lb   | 4500  |         |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.rules.package._pairs import pairs
from tallyhook.units import factor


@rule(severity=ERROR, reads="values", since="0.1.0")
def pounds_and_kilograms_do_not_convert(values: pd.DataFrame) -> pd.DataFrame:
    both = pairs(values, "kg", "lb")
    expected = both["value_other"] * factor("lb", "kg")
    differs = (both["value"] - expected).abs() > 0.01 * expected
    wrong = both[differs]
    return findings(
        wrong, column=wrong["column"], observed=wrong["value"], expected=expected[differs]
    )
