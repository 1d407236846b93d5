"""Two decisions cannot both be meant.

## What it checks
One decision accepts a finding that another will correct; two of the same row key and rule accept it
with different documents or to different days; or several accept one thing at different numbers, of
which one is not in the list any more.

## Why it matters
Nobody knows what was decided. Where they are about the same finding neither holds, and it stays in
the report.

## Likely cause
Two people decided, or a new decision was added below the old one.

## Example
`decisions`

| line | row_key | decision | against | finding  |
| ---- | ------- | -------- | ------- | -------- |
| 2    | HP-4    | accept   |         |          |
| 3    | HP-7    | accept   | 4       | decision |
| 4    | HP-7    | correct  | 3       | decision |

The `findings`, whole:

| line | item                     | observed                     | expected                   | note                                           |
| ---- | ------------------------ | ---------------------------- | -------------------------- | ---------------------------------------------- |
| 3    | decision in line 3: HP-7 | accept, against line 4       | one decision on one finding | neither holds where both are of the same finding |
| 4    | decision in line 4: HP-7 | correct, against line 3      | one decision on one finding | neither holds where both are of the same finding |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.decision import decision_findings


@rule(severity=ERROR, reads="decisions", since="0.2.0")
def decisions_contradict_each_other(decisions: pl.DataFrame) -> pl.DataFrame:
    return decision_findings(
        decisions.filter(pl.col("against").is_not_null()),
        column="decision",
        observed=say_each("{decision}, against line {lines}", decision="decision", lines="against"),
        expected=say("one decision on one finding"),
        note=say("neither holds where both are of the same finding"),
    )
