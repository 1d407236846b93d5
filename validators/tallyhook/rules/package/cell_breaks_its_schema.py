"""A cell, a row or a file is not what its Table Schema says.

## What it checks
Every table is validated by frictionless against the schema in the package's descriptor: types,
required cells, allowed words, smallest values, unique values and primary keys. Patterns hold for
the whole cell. A number is finite, and a schema is one that can be followed.

## Why it matters
A rating that cannot be read, or two rows with one key, make every answer from the table doubtful.

## Likely cause
A typing slip, a decimal comma, a row pasted twice, or a column moved by one.

## Example
What frictionless says, `schema-errors`:

| row | table      | column | observed | expected                     | finding |
| --- | ---------- | ------ | -------- | ---------------------------- | ------- |
| 3   | demo.loads | wll_kg | 3,15     | type is "number/default"     | wll_kg  |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads="schema-errors", since="0.1.0")
def cell_breaks_its_schema(errors: pd.DataFrame) -> pd.DataFrame:
    return findings(
        errors, column=errors["column"], observed=errors["observed"], expected=errors["expected"]
    )
