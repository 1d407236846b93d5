"""A decision accepts something without saying what stood there when it was decided on.

## What it checks
A danger is accepted with its number in the column observed, and never for a whole column: each of
its rows has a number of its own; where several items of the part have that number, with its item. A
row is accepted with its words and its number, in the columns item and observed, whatever the
finding: another item may stand there after sorting.

## Why it matters
Without them the decision would accept whatever is typed there later: a mistyped load ten times the
one that somebody looked at. It accepts nothing; the finding stays in the report.

## Likely cause
The decision is older than this rule, or was written by hand: the finding in the CSV or the workbook
has both columns, to be copied.

## Example
`decisions`

| line | row_key     | lacks  | shown           | against | finding  |
| ---- | ----------- | ------ | --------------- | ------- | -------- |
| 2    | HP-4        |        |                 |         |          |
| 3    | HP-7        | number | 26,400 lb       |         | observed |
| 4    | HP-8        | item   | Chain or Hook   |         | item     |
| 5    | row 5       | row    | Chain; 7,800 lb |         | item     |
| 6    | column Load | column |                 |         | row_key  |

The `findings`, whole:

| line | item                            | observed                                                 | expected                                             | note                                       |
| ---- | ------------------------------- | -------------------------------------------------------- | ---------------------------------------------------- | ------------------------------------------ |
| 3    | decision in line 3: HP-7        | a danger is accepted and no number in observed           | the number that was decided on; listed is 26,400 lb  | the finding stays in the report until then |
| 4    | decision in line 4: HP-8        | a danger is accepted at a number that several items have | the item that was decided on: Chain or Hook          | the finding stays in the report until then |
| 5    | decision in line 5: row 5       | a row is accepted and not what stands in it              | item and observed of the finding: Chain; 7,800 lb    | the finding stays in the report until then |
| 6    | decision in line 6: column Load | a danger of several rows is accepted for a whole column  | a decision for each part number, with its own number | the finding stays in the report until then |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.decision import (
    COLUMN_ALONE,
    ITEM_MISSING,
    NUMBER_MISSING,
    ROW_ALONE,
    decision_findings,
)


@rule(severity=ERROR, reads="decisions", since="0.2.0")
def decision_does_not_say_what_it_accepts(decisions: pl.DataFrame) -> pl.DataFrame:
    told: dict[str, tuple[str, str, str | pl.Expr]] = {
        NUMBER_MISSING: (
            "observed",
            say("a danger is accepted and no number in observed"),
            say_each("the number that was decided on; listed is {shown}", shown="shown"),
        ),
        ITEM_MISSING: (
            "item",
            say("a danger is accepted at a number that several items have"),
            say_each("the item that was decided on: {shown}", shown="shown"),
        ),
        ROW_ALONE: (
            "item",
            say("a row is accepted and not what stands in it"),
            say_each("item and observed of the finding: {shown}", shown="shown"),
        ),
        COLUMN_ALONE: (
            "row_key",
            say("a danger of several rows is accepted for a whole column"),
            say("a decision for each part number, with its own number"),
        ),
    }
    return pl.concat(
        decision_findings(
            decisions.filter(pl.col("lacks") == lack),
            column=column,
            observed=pl.lit(observed),
            expected=expected,
            note=say("the finding stays in the report until then"),
        )
        for lack, (column, observed, expected) in told.items()
    )
