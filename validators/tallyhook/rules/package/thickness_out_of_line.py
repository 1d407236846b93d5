"""A least thickness of a link leaves the line of its own table.

## What it checks
Where three quarters of a table's limits are one share of the nominal size in mm, within 1.5 %, the
others are too (ASME B30.9: about 0.867 of the nominal size).

## Why it matters
A link at its limit is taken out of service by this number.

## Likely cause
A digit, or the limit of a neighbouring size.

## Example
`chain.link-thickness`

| row | source | locator | size_in | size_mm | min_thickness_in | finding          |
| --- | ------ | ------- | ------- | ------- | ---------------- | ---------------- |
| 2   | guide  | A       | 3/8     | 10      | 0.342            |                  |
| 3   | guide  | A       | 1/2     | 13      | 0.443            |                  |
| 4   | guide  | A       | 5/8     | 16      | 0.564            | min_thickness_in |
| 5   | guide  | A       | 3/4     | 20      | 0.687            |                  |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.rules.package._lines import off_line
from tallyhook.units import factor


@rule(severity=WARNING, reads="chain.link-thickness", since="0.1.0")
def thickness_out_of_line(thickness: pd.DataFrame) -> pd.DataFrame:
    sized = thickness[thickness["size_mm"].notna()]
    share = sized["min_thickness_in"] * factor("in", "mm") / sized["size_mm"]
    line = off_line(sized, share, within=0.015)
    off = line["has_line"] & line["off"]
    expected = line["line"] * sized["size_mm"] / factor("in", "mm")
    return findings(sized[off], column="min_thickness_in", expected=expected[off].round(3))
