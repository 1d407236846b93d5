"""A decision fits no finding of the list.

## What it checks
Every decision that can be read and is not past its date: it must fit at least one finding by row
key and rule, and by the number listed where it names one. In a list of several sheets a row is
named with its sheet.

## Why it matters
A decision that fits nothing lies in wait: it may accept a later finding that nobody has looked at.

## Likely cause
The row was corrected or removed, the part number changed, or another number stands there now.

## Example
`decisions`

| line | row_key | rule                     | matched | observed | with_sheet  | expired | defect          | against | finding |
| ---- | ------- | ------------------------ | ------- | -------- | ----------- | ------- | --------------- | ------- | ------- |
| 2    | HP-4    | rated-above-every-source | 1       |          |             |         |                 |         |         |
| 3    | HP-9    | rated-above-every-source | 0       |          |             |         |                 |         | row_key |
| 4    | row 5   | rated-above-every-source | 0       |          | Chain!row 5 |         |                 |         | row_key |
| 5    | HP-9    | rated-above-every-source | 0       |          |             | yes     |                 |         |         |
| 6    | HP-9    | rated-above-every-source | 0       |          |             |         | nobody is named |         |         |
| 7    | HP-4    | rated-above-every-source | 0       | 7,800 lb |             |         |                 |         | row_key |
| 8    | HP-4    | rated-above-every-source | 0       | 7,900 lb |             |         |                 | 2       |         |

The `findings`, whole; line 8 contradicts another, which is a finding of its own:

| line | item                      | observed                                                | expected                                                                             |
| ---- | ------------------------- | ------------------------------------------------------- | ------------------------------------------------------------------------------------ |
| 3    | decision in line 3: HP-9  | no finding rated-above-every-source at HP-9             | the part number of a finding, or its row as in 'row 3' with its item, or no decision |
| 4    | decision in line 4: row 5 | no finding rated-above-every-source at row 5            | Chain!row 5, or no decision                                                          |
| 7    | decision in line 7: HP-4  | no finding rated-above-every-source of 7,800 lb at HP-4 | what the finding observed, once it was looked at again, or no decision               |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.decision import decision_findings


@rule(severity=WARNING, reads="decisions", since="0.1.0")
def decision_matches_nothing(decisions: pl.DataFrame) -> pl.DataFrame:
    idle = (
        pl.col("defect").is_null()
        & ~pl.col("expired")
        & (pl.col("matched") == 0)
        & pl.col("against").is_null()
    )
    of_a_number = pl.col("observed").is_not_null()
    named = pl.coalesce(
        "with_sheet",
        pl.when(of_a_number).then(
            say_each("what the finding observed, once it was looked at again")
        ),
        say_each("the part number of a finding, or its row as in 'row 3' with its item"),
    )
    told = say_each("no finding {rule} at {row_key}", rule="rule", row_key="row_key")
    with_number = say_each(
        "no finding {rule} of {observed} at {row_key}",
        rule="rule", observed="observed", row_key="row_key",
    )  # fmt: skip
    return decision_findings(
        decisions.filter(idle),
        column="row_key",
        observed=pl.when(of_a_number).then(with_number).otherwise(told),
        expected=say_each("{place}, or no decision", place=named),
    )
