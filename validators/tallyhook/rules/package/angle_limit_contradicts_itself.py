"""An angle limit and the same limit as an angle to the vertical do not agree.

## What it checks
An included angle is twice the angle to the vertical, an angle to the horizontal is 90 degrees less
it, and any other reference line is the vertical itself.

## Why it matters
Sixty degrees to the horizontal, to the vertical and between the legs are three different slings.

## Likely cause
The reference was misread.

## Example
`use.angle-limits`

| row | reference         | angle_deg | angle_to_vertical_deg | finding               |
| --- | ----------------- | --------- | --------------------- | --------------------- |
| 2   | included          | 90        | 45                    |                       |
| 3   | to the horizontal | 30        | 30                    | angle_to_vertical_deg |
| 4   | to the vertical   | 60        | 60                    |                       |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads="use.angle-limits", since="0.1.0")
def angle_limit_contradicts_itself(limits: pd.DataFrame) -> pd.DataFrame:
    angle, reference = limits["angle_deg"], limits["reference"]
    expected = angle.where(reference != "included", angle / 2)
    expected = expected.where(reference != "to the horizontal", 90 - angle)
    broken = (limits["angle_to_vertical_deg"] - expected).abs() > 1e-9
    return findings(limits[broken], column="angle_to_vertical_deg", expected=expected[broken])
