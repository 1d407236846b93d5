"""A ladle hook's capacity is not half of that of its crane.

## What it checks
A crane carries a ladle by two hooks: its capacity is twice that of one hook, both preferred numbers
of the series R10, so that the quotient is 1.97 to 2 (DIN 15407-1).

## Why it matters
The two figures stand side by side in every list of ladle hooks, and are easily swapped.

## Likely cause
The columns were swapped, or a row slipped.

## Example
`hooks.ladle-hooks`

| row | wll_kg | crane_capacity_kg | finding           |
| --- | ------ | ----------------- | ----------------- |
| 2   | 32000  | 63000             |                   |
| 3   | 50000  | 100000            |                   |
| 4   | 50000  | 125000            | crane_capacity_kg |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings

_HOOKS = 2
_WITHIN = 0.02  # of the series R10: 63 for 64, 630 for 640


@rule(severity=ERROR, reads="hooks.ladle-hooks", since="0.2.0")
def ladle_hook_is_not_half_of_its_crane(hooks: pd.DataFrame) -> pd.DataFrame:
    expected = _HOOKS * hooks["wll_kg"]
    wrong = ~((hooks["crane_capacity_kg"] / expected - 1).abs() <= _WITHIN)
    return findings(hooks[wrong], column="crane_capacity_kg", expected=expected[wrong])
