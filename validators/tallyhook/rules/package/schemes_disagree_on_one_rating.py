"""The tie-down law and the chain specification rate the same chain differently.

## What it checks
Where the tie-down table of 49 CFR 393.108 and the American chain ratings have the same grade and
size, they print the same rating, in pounds and in kilograms.

## Why it matters
The law took its table from the specification. A difference is a slip in one of ours.

## Likely cause
A digit, or a row moved by one.

## Example
`chain.ratings`

| row | scheme     | grade | size_mm | wll_kg | wll_lb | finding |
| --- | ---------- | ----- | ------- | ------ | ------ | ------- |
| 2   | us-chain   | 70    | 10      | 2990   | 6600   |         |
| 3   | us-chain   | 70    | 13      | 5130   | 11300  |         |
| 4   | us-tiedown | 70    | 10      | 2990   | 6600   |         |
| 5   | us-tiedown | 70    | 13      | 5130   | 11800  | wll_lb  |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import beside, findings


@rule(severity=ERROR, reads="chain.ratings", since="0.1.0")
def schemes_disagree_on_one_rating(ratings: pd.DataFrame) -> pd.DataFrame:
    law = ratings[ratings["scheme"] == "us-tiedown"]
    specified = ratings[ratings["scheme"] == "us-chain"]
    both = beside(law, specified, ["grade", "size_mm"], ["wll_kg", "wll_lb"])
    parts = []
    for column in ("wll_kg", "wll_lb"):
        expected = both[f"{column}_other"]
        broken = expected.notna() & (both[column] != expected)
        parts.append(findings(both[broken], column=column, expected=expected[broken]))
    return pd.concat(parts)
