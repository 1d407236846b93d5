"""A lashing capacity is not half the breaking force of the chain.

## What it checks
The lashing capacity of a chain against half the breaking force of European chain of its grade and
size: it is that or a little less (DIN EN 12195-3 as BGHM-I 108 prints it: at most 7 % less).

## Why it matters
Lashing capacities are twice working load limits: one that slipped a column passes for the other.

## Likely cause
A working load limit, or the breaking force itself; kilonewtons for decanewtons.

## Example
`chain.lashing-chain`

| row | grade | size_mm | lc_dan | finding |
| --- | ----- | ------- | ------ | ------- |
| 2   | 80    | 8       | 4000   |         |
| 3   | 80    | 10      | 3150   | lc_dan  |
| 4   | 80    | 13      | 10000  |         |

`chain.forces`

| row | scheme   | grade | size_mm | force    | force_kn |
| --- | -------- | ----- | ------- | -------- | -------- |
| 2   | european | 80    | 8       | breaking | 80.4     |
| 3   | european | 80    | 10      | breaking | 126      |
| 4   | european | 80    | 13      | breaking | 212      |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings
from tallyhook.units import factor

_SHARE = 0.5
_LEAST, _MOST = 0.93, 1.001  # 10,000 daN of 10,600; 4,000 of 4,020


@rule(severity=ERROR, reads=("chain.lashing-chain", "chain.forces"), since="0.2.0")
def lashing_capacity_is_not_half_the_breaking_force(
    lashing: pd.DataFrame, forces: pd.DataFrame
) -> pd.DataFrame:
    breaking = forces[(forces["scheme"] == "european") & (forces["force"] == "breaking")]
    both = beside(lashing, breaking, ["grade", "size_mm"], ["force_kn"])
    half = _SHARE * both["force_kn_other" if "force_kn_other" in both else "force_kn"]
    expected = half * factor("kN", "daN")
    wrong = ~(both["lc_dan"] / expected).between(_LEAST, _MOST)
    return findings(both[wrong], column="lc_dan", expected=expected[wrong])
