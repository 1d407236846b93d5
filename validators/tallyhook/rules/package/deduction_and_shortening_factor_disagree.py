"""A grab hook's deduction and the factor for shortening with it do not add up.

## What it checks
What a deduction takes and what the shortening factor of the same document leaves make the whole
rating: 20 percent and 0.8, 25 percent and 0.75.

## Why it matters
The rating of a grab hook and the rating of chain shortened with it are one thing.

## Likely cause
One of the two was changed alone.

## Example
`grab-hooks.deductions`

| row | deduction    | deduction_percent | source   | finding           |
| --- | ------------ | ----------------- | -------- | ----------------- |
| 2   | no-cradle-20 | 20                | article  |                   |
| 3   | no-cradle-25 | 24                | standard | deduction_percent |
| 4   | cradle-0     | 0                 | standard |                   |

`use.shortening-factors`

| row | device | factor | source   | finding |
| --- | ------ | ------ | -------- | ------- |
| 2   | grab   | 0.8    | article  |         |
| 3   | cradle | 1      | standard |         |
| 4   | grab   | 0.75   | standard | factor  |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads=("grab-hooks.deductions", "use.shortening-factors"), since="0.1.0")
def deduction_and_shortening_factor_disagree(
    deductions: pd.DataFrame, factors: pd.DataFrame
) -> pd.DataFrame:
    left = factors.assign(leaves=(100 * factors["factor"]).round(6))
    known = pd.MultiIndex.from_frame(left[["source", "leaves"]])
    ours = deductions.assign(leaves=(100 - deductions["deduction_percent"]).round(6))
    lone = ours[~pd.MultiIndex.from_frame(ours[["source", "leaves"]]).isin(known)]
    taken = pd.MultiIndex.from_frame(ours[["source", "leaves"]])
    # a recalled factor has no document to agree with; it is held against every deduction
    any_source = left["leaves"].isin(ours["leaves"])
    stray = left[~pd.MultiIndex.from_frame(left[["source", "leaves"]]).isin(taken)]
    stray = stray[~((stray["source"] == "recalled") & any_source[stray.index])]
    stray = stray.assign(table="use.shortening-factors")
    return pd.concat(
        [
            findings(
                lone.assign(table="grab-hooks.deductions"),
                column="deduction_percent",
                expected=say("what a shortening factor of its source leaves"),
            ),
            findings(stray, column="factor", expected=say("what a deduction of its source leaves")),
        ]
    )
