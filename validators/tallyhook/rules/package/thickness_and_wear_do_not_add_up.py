"""The least thickness of a link and the wear allowed do not add up to the nominal size.

## What it checks
29 CFR 1910.184 prints how thin a link may be, 29 CFR 1926.251 how much may be worn off; for each
size the two add up to the nominal size in inches, to a thousandth.

## Why it matters
The two are one limit in two laws; where they differ one of them is misprinted.

## Likely cause
A digit in one of the fractions.

## Example
`chain.link-thickness`

| row | source          | size_in | min_thickness_in | finding          |
| --- | --------------- | ------- | ---------------- | ---------------- |
| 2   | 29-cfr-1910-184 | 3/8     | 0.296875         |                  |
| 3   | 29-cfr-1910-184 | 1-1/4   | 0.95             | min_thickness_in |

`chain.link-wear`

| row | source          | size_in | max_wear_in |
| --- | --------------- | ------- | ----------- |
| 2   | 29-cfr-1926-251 | 3/8     | 0.078125    |
| 3   | 29-cfr-1926-251 | 1-1/4   | 0.25        |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings, inches, numbers

THICKNESS, WEAR = "29-cfr-1910-184", "29-cfr-1926-251"


@rule(severity=ERROR, reads=("chain.link-thickness", "chain.link-wear"), since="0.1.0")
def thickness_and_wear_do_not_add_up(thickness: pd.DataFrame, wear: pd.DataFrame) -> pd.DataFrame:
    law = thickness[thickness["source"] == THICKNESS]
    both = beside(law, wear[wear["source"] == WEAR], ["size_in"], ["max_wear_in"])
    expected = numbers(both["size_in"], inches) - both["max_wear_in"]
    broken = (both["min_thickness_in"] - expected).abs() > 0.001
    return findings(both[broken], column="min_thickness_in", expected=expected[broken])
