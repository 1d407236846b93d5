"""A temperature in degrees Celsius and the same one in Fahrenheit are more than 1 degC apart.

## What it checks
Where a row gives a temperature both as ``..._c`` and ``..._f``, the two convert into each other
within 1 degC, the rounding of the printed tables.

## Why it matters
The step of a heat table must begin at the same heat in either unit.

## Likely cause
Both were rounded on their own, or a digit slipped.

## Example
`values`

| row | table     | column        | unit | value | finding       |
| --- | --------- | ------------- | ---- | ----- | ------------- |
| 2   | demo.heat | temperature_c | degC | 204   |               |
| 2   | demo.heat | temperature_f | degF | 400   |               |
| 3   | demo.heat | temperature_c | degC | 250   | temperature_c |
| 3   | demo.heat | temperature_f | degF | 500   |               |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.rules.package._pairs import pairs


@rule(severity=ERROR, reads="values", since="0.1.0")
def fahrenheit_and_celsius_do_not_convert(values: pd.DataFrame) -> pd.DataFrame:
    both = pairs(values, "degC", "degF")
    expected = (both["value_other"] - 32) / 1.8
    differs = (both["value"] - expected).abs() > 1.0
    wrong = both[differs]
    return findings(
        wrong, column=wrong["column"], observed=wrong["value"], expected=expected[differs]
    )
