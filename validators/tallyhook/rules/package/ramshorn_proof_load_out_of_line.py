"""A ramshorn hook's proof load, ratio or permanent set is out of its table's line.

## What it checks
The ratio is proof load over rating to three decimals; the proof load is within 5.5 % of the curve
1.22 x SWL + 20 t below 160 t and 1.33 x SWL from there (the form used for ships' gear); the
permanent set allowed is one for the whole table.

## Why it matters
The proof load of a big hook is not a fixed multiple, so a slip in it is hard to see.

## Likely cause
A digit, or the proof load of the next hook.

## Example
`hooks.ramshorn-hooks`

| row | wll_kg | proof_load_kg | proof_to_wll | max_permanent_set_percent | finding      |
| --- | ------ | ------------- | ------------ | ------------------------- | ------------ |
| 2   | 40000  | 70000         | 1.75         | 0.25                      |              |
| 3   | 63000  | 100000        | 1.687        | 0.25                      | proof_to_wll |
| 4   | 100000 | 145000        | 1.45         | 0.25                      |              |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=WARNING, reads="hooks.ramshorn-hooks", since="0.1.0")
def ramshorn_proof_load_out_of_line(hooks: pd.DataFrame) -> pd.DataFrame:
    ratio = hooks["proof_load_kg"] / hooks["wll_kg"]
    differs = (hooks["proof_to_wll"] - ratio).abs() > 0.00051
    tonnes = hooks["wll_kg"] / 1000
    curve = 1000 * (1.33 * tonnes).where(tonnes >= 160, 1.22 * tonnes + 20)
    off = (hooks["proof_load_kg"] / curve - 1).abs() > 0.055
    usual = hooks["max_permanent_set_percent"].median()
    unlike = hooks["max_permanent_set_percent"] != usual
    return pd.concat(
        [
            findings(hooks[differs], column="proof_to_wll", expected=ratio[differs].round(3)),
            findings(hooks[off], column="proof_load_kg", expected=curve[off]),
            findings(hooks[unlike], column="max_permanent_set_percent", expected=usual),
        ]
    )
