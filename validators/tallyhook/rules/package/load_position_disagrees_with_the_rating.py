"""A hook's rating by load position is not the rating listed for that hook.

## What it checks
Each load in the table of load positions is a printed rating of the same form among the special
hooks, and its factor is that row's share of the full rating.

## Why it matters
Loading the tip instead of the throat leaves a quarter; both tables must say so alike.

## Likely cause
One of the two tables was changed alone.

## Example
`use.load-position-factors`

| row | form    | position   | factor | load_t | finding |
| --- | ------- | ---------- | ------ | ------ | ------- |
| 2   | sorting | full-depth | 1      | 7.5    |         |
| 3   | sorting | tip        | 0.3    | 2      | factor  |

`hooks.special-ratings`

| row | form    | printed_value | ratio_to_full |
| --- | ------- | ------------- | ------------- |
| 2   | sorting | 7.5           | 1             |
| 3   | sorting | 2             | 0.267         |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings


@rule(severity=ERROR, reads=("use.load-position-factors", "hooks.special-ratings"), since="0.1.0")
def load_position_disagrees_with_the_rating(
    positions: pd.DataFrame, hooks: pd.DataFrame
) -> pd.DataFrame:
    loaded = positions[positions["load_t"].notna()]
    listed = hooks.assign(load_t=pd.to_numeric(hooks["printed_value"], errors="coerce"))
    both = beside(loaded, listed, ["form", "load_t"], ["ratio_to_full"])
    unknown = both["ratio_to_full"].isna()
    unlike = ~unknown & ((both["factor"] - both["ratio_to_full"]).abs() > 1e-9)
    return pd.concat(
        [
            findings(
                both[unknown], column="load_t", expected=say("a rating of a hook of this form")
            ),
            findings(both[unlike], column="factor", expected=both["ratio_to_full"][unlike]),
        ]
    )
