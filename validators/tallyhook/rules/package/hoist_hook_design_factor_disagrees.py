"""A hoist hook's design factor is not the one listed for its material and rating.

## What it checks
The design factors in the hoist hook table against the table of design factors: carbon eye hooks,
alloy eye hooks below and from 30 t, shank and swivel hooks.

## Why it matters
The factor turns a rating into the breaking load a purchaser may ask to see.

## Likely cause
The factor of the other material or of the other side of 30 t.

## Example
`hooks.hoist-hooks`

| row | material | wll_kg | design_factor_eye | design_factor_shank_swivel | finding           |
| --- | -------- | ------ | ----------------- | -------------------------- | ----------------- |
| 2   | carbon   | 5000   | 5                 | 4.5                        |                   |
| 3   | alloy    | 30000  | 5                 | 4.5                        | design_factor_eye |
| 4   | alloy    | 2000   |                   |                            |                   |

`hooks.design-factors`

| row | item                           | design_factor |
| --- | ------------------------------ | ------------- |
| 2   | hoist-hook-carbon-eye          | 5             |
| 3   | hoist-hook-alloy-eye-below-30-t | 5            |
| 4   | hoist-hook-alloy-eye-from-30-t | 4.5           |
| 5   | hoist-hook-shank-and-swivel    | 4.5           |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers

HEAVY_KG = 30_000


@rule(severity=ERROR, reads=("hooks.hoist-hooks", "hooks.design-factors"), since="0.1.0")
def hoist_hook_design_factor_disagrees(hooks: pd.DataFrame, factors: pd.DataFrame) -> pd.DataFrame:
    listed = factors.drop_duplicates("item").set_index("item")["design_factor"]
    item = pd.Series("hoist-hook-alloy-eye-below-30-t", hooks.index)
    item = item.where(hooks["wll_kg"] < HEAVY_KG, "hoist-hook-alloy-eye-from-30-t")
    item = item.where(hooks["material"] != "carbon", "hoist-hook-carbon-eye")
    expected = {
        "design_factor_eye": numbers(item, listed),
        "design_factor_shank_swivel": pd.Series(
            listed.get("hoist-hook-shank-and-swivel"), hooks.index
        ),
    }
    parts = []
    for column, wanted in expected.items():
        # a factor that one range alone would give is not listed
        broken = hooks[column].notna() & (hooks[column] != wanted)
        parts.append(findings(hooks[broken], column=column, expected=wanted[broken]))
    return pd.concat(parts)
