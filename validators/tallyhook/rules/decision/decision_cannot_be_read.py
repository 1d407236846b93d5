"""A decision lacks something, or says something that is no decision.

## What it checks
Row key, rule, decision, who, why and date are filled; the decision is accept or correct; the dates
are written as 2026-11-25; the rule is one of ours.

## Why it matters
A decision that cannot be read accepts nothing. Without a name, a reason and a day nobody can
answer for it.

## Likely cause
A cell left empty, or a date in the form of a country.

## Example
`decisions`

| line | row_key | rule                     | defect          | finding  |
| ---- | ------- | ------------------------ | --------------- | -------- |
| 2    | HP-4    | rated-above-every-source |                 |          |
| 3    | HP-5    | rated-above-every-source | nobody is named | decision |

The `findings`, whole:

| line | item                     | observed        | expected                                            | note                                  |
| ---- | ------------------------ | --------------- | --------------------------------------------------- | ------------------------------------- |
| 3    | decision in line 3: HP-5 | nobody is named | row key, rule, accept or correct, who, why and date | it accepts nothing until it is mended |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.decision import decision_findings


@rule(severity=ERROR, reads="decisions", since="0.1.0")
def decision_cannot_be_read(decisions: pl.DataFrame) -> pl.DataFrame:
    return decision_findings(
        decisions.filter(pl.col("defect").is_not_null()),
        column="decision",
        observed=pl.col("defect"),
        expected=say("row key, rule, accept or correct, who, why and date"),
        note=say("it accepts nothing until it is mended"),
    )
