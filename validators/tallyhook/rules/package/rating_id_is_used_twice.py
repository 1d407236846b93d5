"""Two ratings have one name, or a rating has the name of one that was withdrawn.

## What it checks
No ``rating_id`` stands in two rows, in one table or in two, in one package or in two; and none
stands in a ``retired.csv``. The first row that has a name keeps it, and ours come before a
maker's: what is found is the other one.

## Why it matters
Whoever kept a name finds one rating by it, for ever. A name that is used again silently leads
those who kept it to another number.

## Likely cause
The key does not tell the two rows apart: add a column ``case`` to it. Or a withdrawn rating came
back: it needs a new name, and if it is the same rating as before, it should not have been
withdrawn.

## Example
`names`

| row | table      | rating_id         | expected          | finding   |
| --- | ---------- | ----------------- | ----------------- | --------- |
| 2   | demo.loads | load/demo/80/10mm | load/demo/80/10mm |           |
| 3   | demo.loads | load/demo/80/13mm | load/demo/80/13mm | rating_id |
| 4   | demo.loads | load/demo/80/16mm | load/demo/80/16mm | rating_id |

`all-names`

| row | table        | rating_id         | retired |
| --- | ------------ | ----------------- | ------- |
| 9   | chain.loads  | load/demo/80/13mm | false   |
| 2   | demo.loads   | load/demo/80/10mm | false   |
| 3   | demo.loads   | load/demo/80/13mm | false   |
| 4   | demo.loads   | load/demo/80/16mm | false   |
| 2   | demo.retired | load/demo/80/16mm | true    |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say, to_say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings, say_each_row

_ELSEWHERE = to_say("line {row} of {table} has it")


@rule(severity=ERROR, reads=("names", "all-names"), since="0.2.0")
def rating_id_is_used_twice(names: pd.DataFrame, everywhere: pd.DataFrame) -> pd.DataFrame:
    # a name is that of a retired rating, or else of the first that has it: ours come before a maker's
    owners = everywhere.reset_index().sort_values("retired", ascending=False, kind="stable")
    owners = owners.drop_duplicates("rating_id")
    pairs = names.reset_index().merge(owners, on="rating_id", suffixes=("", "_other"))
    taken = (pairs["table"] != pairs["table_other"]) | (pairs["row"] != pairs["row_other"])
    broken = pairs[taken].set_index("row")
    return findings(
        broken,
        column="rating_id",
        expected=say("a name that no other rating has or had"),
        note=say_each_row(_ELSEWHERE, row=broken["row_other"], table=broken["table_other"]),
    )
