"""A cell names something that the table it refers to does not have.

## What it checks
Every column whose field says ``refersTo: package.table.column`` holds only values of that column,
in whichever package it is. The columns of a foreign key, which are of one package, hold together
only what one row of the other table holds in its columns.

## Why it matters
A rating whose source cannot be looked up is a rating without a source.

## Likely cause
A slug was mistyped, or the row it named was renamed or removed.

## Example
The cells that refer, `references`, and what there is to refer to, `targets`:

`references`

| row | table      | column | value    | refers_to                | finding |
| --- | ---------- | ------ | -------- | ------------------------ | ------- |
| 2   | demo.loads | source | the-law  | sources.documents.source |         |
| 3   | demo.loads | source | the-lawe | sources.documents.source | source  |

`targets`

| row | refers_to                | value   |
| --- | ------------------------ | ------- |
| 0   | sources.documents.source | the-law |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import to_say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, say_each_row

_TARGET = to_say("a value of {target}")


@rule(severity=ERROR, reads=("references", "targets"), since="0.1.0")
def reference_leads_nowhere(references: pd.DataFrame, targets: pd.DataFrame) -> pd.DataFrame:
    there = pd.MultiIndex.from_frame(targets[["refers_to", "value"]])
    lost = references[~pd.MultiIndex.from_frame(references[["refers_to", "value"]]).isin(there)]
    return findings(
        lost,
        column=lost["column"],
        observed=lost["value"],
        expected=say_each_row(_TARGET, target=lost["refers_to"]),
    )
