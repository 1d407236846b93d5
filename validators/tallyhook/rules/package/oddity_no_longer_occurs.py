"""An entry of ``known-oddities.csv`` matches no finding any more.

## What it checks
Every known oddity still occurs: the same rule, table, key, column and value.

## Why it matters
An exception that outlives its cause would excuse the next mistake in the same place.

## Likely cause
The value was corrected, or the entry names its rule, key or value wrongly.

## Example
`known-oddities`

| row | table               | file           | rule        | item | column | observed | finding |
| --- | ------------------- | -------------- | ----------- | ---- | ------ | -------- | ------- |
| 2   | demo.known-oddities | demo/loads.csv | rating-low  | 10   | wll_kg | 900      |         |
| 3   | demo.known-oddities | demo/loads.csv | rating-low  | 13   | wll_kg | 1400     | rule    |

`findings`

| row | file           | rule        | item | column | observed |
| --- | -------------- | ----------- | ---- | ------ | -------- |
| 9   | demo/loads.csv | rating-low  | 10   | wll_kg | 900      |
| 10  | demo/loads.csv | rating-low  | 13   | wll_kg | 1500     |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say, to_say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import SAME_FINDING, findings, say_each_row

_RECORDED = to_say("{item}, {column} {value}")


@rule(severity=ERROR, reads=("known-oddities", "findings"), since="0.1.0")
def oddity_no_longer_occurs(oddities: pd.DataFrame, found: pd.DataFrame) -> pd.DataFrame:
    occurs = pd.MultiIndex.from_frame(found[SAME_FINDING].astype(str))
    gone = oddities[~pd.MultiIndex.from_frame(oddities[SAME_FINDING].astype(str)).isin(occurs)]
    return findings(
        gone,
        column="rule",
        expected=say("this finding, with this value"),
        note=say_each_row(
            _RECORDED, item=gone["item"], column=gone["column"], value=gone["observed"]
        ),
    )
