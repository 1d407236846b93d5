"""An inspection interval in months is not the one in words.

## What it checks
"12 months", "quarterly", "annual", "4 years" against the number of months.

## Why it matters
Programs remind by the number; the law is in the words.

## Likely cause
Quarterly was taken for every four months, or a digit slipped.

## Example
`inspection.intervals`

| row | interval  | interval_months | finding         |
| --- | --------- | --------------- | --------------- |
| 2   | 12 months | 12              |                 |
| 3   | quarterly | 4               | interval_months |
| 4   | 4 years   | 48              |                 |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, numbers

WORDS = {"monthly": 1, "quarterly": 3, "annual": 12, "yearly": 12}


@rule(severity=ERROR, reads="inspection.intervals", since="0.1.0")
def interval_is_not_the_printed_one(intervals: pd.DataFrame) -> pd.DataFrame:
    counted = intervals["interval"].str.extract(r"^(\d+) (month|year)s?$")
    months = pd.to_numeric(counted[0]) * numbers(counted[1], {"month": 1, "year": 12})
    expected = months.fillna(numbers(intervals["interval"], WORDS))
    # a number beside words that say none is found too
    broken = intervals["interval_months"].notna() & (intervals["interval_months"] != expected)
    return findings(intervals[broken], column="interval_months", expected=expected[broken])
