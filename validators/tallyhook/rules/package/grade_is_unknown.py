"""A row is of a grade that no grade table has.

## What it checks
Every number in a column named ``grade`` is a grade of the chain package. The vocabulary may also
know marks of grades that have no ratings.

## Why it matters
A rating of grade 34 is found by nobody who looks for grade 43.

## Likely cause
Swapped digits, or a metric grade (8) where the table has its number (80).

## Example
`values`

| row | table      | column | value | finding |
| --- | ---------- | ------ | ----- | ------- |
| 2   | demo.loads | grade  | 43    |         |
| 3   | demo.loads | grade  | 34    | grade   |
| 4   | demo.loads | wll_kg | 34    |         |

`chain.grades`

| row | scheme   | grade |
| --- | -------- | ----- |
| 2   | us-chain | 43    |
| 3   | us-chain | 80    |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads=("values", "chain.grades"), since="0.1.0")
def grade_is_unknown(values: pd.DataFrame, grades: pd.DataFrame) -> pd.DataFrame:
    named = values[(values["column"] == "grade") & ~values["table"].str.startswith("vocabulary.")]
    unknown = named[~named["value"].isin(grades["grade"].astype(float))]
    known = ", ".join(str(g) for g in sorted(set(grades["grade"].astype(int))))
    expected = say("one of {grades}", grades=known)
    return findings(unknown, column="grade", observed=unknown["value"], expected=expected)
