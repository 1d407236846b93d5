"""A value in ``data/`` is not what the source's own table in ``printed/`` gives.

## What it checks
Every canonical table that a printed table derives is derived anew and compared, cell by cell and
row by row, as text.

## Why it matters
``printed/`` is what the document shows, in its layout and units; ``data/`` is what answers come
from. Between them nothing may be lost, rounded or mended.

## Likely cause
One of the two was edited by hand. Correct the printed table against the document, then run
``scripts/derive``.

## Example
`derived`

| row | table      | key | column | data | printed | finding |
| --- | ---------- | --- | ------ | ---- | ------- | ------- |
| 2   | demo.loads | 10  | wll_kg | 3150 | 3150    |         |
| 3   | demo.loads | 13  | wll_kg | 5400 | 5300    | wll_kg  |
| 1   | demo.loads | 16  | wll_kg |      | 8000    | wll_kg  |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say, to_say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, say_each_row

_KEY = to_say("key {key}")


@rule(severity=ERROR, reads="derived", since="0.1.0")
def printed_and_data_disagree(derived: pd.DataFrame) -> pd.DataFrame:
    same = (derived["data"] == derived["printed"]) | (
        derived["data"].isna() & derived["printed"].isna()
    )
    wrong = derived[~same.fillna(False).astype(bool)]
    return findings(
        wrong,
        column=wrong["column"],
        observed=wrong["data"].fillna("no such row"),
        expected=wrong["printed"].fillna(say("no such row")),
        note=say_each_row(_KEY, key=wrong["key"]).where(wrong["key"] != ""),
    )
