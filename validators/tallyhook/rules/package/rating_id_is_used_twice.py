"""Two ratings have one name, or a rating has the name of one that was withdrawn.

## What it checks
No ``rating_id`` stands in two rows, in one table or in two, in one package or in two; and none
stands in a ``retired.csv``.

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
| 2   | demo.loads   | load/demo/80/10mm | false   |
| 3   | demo.loads   | load/demo/80/13mm | false   |
| 4   | demo.loads   | load/demo/80/16mm | false   |
| 9   | other.loads  | load/demo/80/13mm | false   |
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
    named = names[names["rating_id"] != ""].reset_index()
    others = everywhere.reset_index()
    pairs = named.merge(others, on="rating_id", suffixes=("", "_other"))
    pairs = pairs[(pairs["table"] != pairs["table_other"]) | (pairs["row"] != pairs["row_other"])]
    broken = pairs.drop_duplicates(["table", "row"]).set_index("row")
    return findings(
        broken,
        column="rating_id",
        expected=say("a name that no other rating has or had"),
        note=say_each_row(_ELSEWHERE, row=broken["row_other"], table=broken["table_other"]),
    )
