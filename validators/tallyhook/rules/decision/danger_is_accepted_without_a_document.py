"""A decision accepts a danger and names no maker's document.

## What it checks
Decisions that accept a finding of severity danger: the column document must name the maker's
sheet or certificate that allows it. A dash, "none", "no certificate" or "yes" names none.

## Why it matters
Someone would lift more than any published table allows on nobody's word. The danger stays in the
report.

## Likely cause
The document was seen but not written down, or there is none.

## Example
`decisions`

| line | row_key | rule                     | who      | document          | undocumented | finding  |
| ---- | ------- | ------------------------ | -------- | ----------------- | ------------ | -------- |
| 2    | HP-4    | rated-above-every-source | Ann Pike | certificate 88231 | 0            |          |
| 3    | HP-7    | rated-above-every-source | Ann Pike |                   | 1            | document |
| 4    | HP-8    | rated-below-every-source | Ann Pike |                   | 0            |          |

The `findings`, whole:

| line | item                     | observed                                         | expected                                        | note                           |
| ---- | ------------------------ | ------------------------------------------------ | ----------------------------------------------- | ------------------------------ |
| 3    | decision in line 3: HP-7 | a danger accepted by Ann Pike, no document named | the maker's sheet or certificate that allows it | the danger stays in the report |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.decision import decision_findings


@rule(severity=ERROR, reads="decisions", since="0.1.0")
def danger_is_accepted_without_a_document(decisions: pl.DataFrame) -> pl.DataFrame:
    return decision_findings(
        decisions.filter(pl.col("undocumented") > 0),
        column="document",
        observed=say_each("a danger accepted by {who}, no document named", who="who"),
        expected=say("the maker's sheet or certificate that allows it"),
        note=say("the danger stays in the report"),
    )
