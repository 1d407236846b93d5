"""A decision is past its date and accepts nothing any more.

## What it checks
The day in the column expires against the day of the check. The decision holds on that day itself.

## Why it matters
Someone meant to look again by then. Until they have, the finding stands in the report again.

## Likely cause
Nobody was reminded.

## Example
`decisions`

| line | row_key | rule                     | expires    | expired | defect          | finding |
| ---- | ------- | ------------------------ | ---------- | ------- | --------------- | ------- |
| 2    | HP-4    | rated-below-every-source | 2027-01-31 | no      |                 |         |
| 3    | HP-5    | rated-below-every-source | 2026-01-31 | yes     |                 | expires |
| 4    | HP-6    | rated-below-every-source | 2026-01-31 | yes     | nobody is named |         |

The `findings`, whole; line 4 cannot be read, which is a finding of its own:

| line | item                     | observed           | expected                                     |
| ---- | ------------------------ | ------------------ | -------------------------------------------- |
| 3    | decision in line 3: HP-5 | expired 2026-01-31 | a later day after a new look, or no decision |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.decision import decision_findings


@rule(severity=WARNING, reads="decisions", since="0.1.0")
def decision_is_past_its_date(decisions: pl.DataFrame) -> pl.DataFrame:
    return decision_findings(
        decisions.filter(pl.col("defect").is_null() & pl.col("expired")),
        column="expires",
        observed=say_each("expired {day}", day="expires"),
        expected=say("a later day after a new look, or no decision"),
    )
